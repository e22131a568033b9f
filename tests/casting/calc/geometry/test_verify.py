"""The verifier accepts what just holds and refuses what is 0.01 mm short.

Layouts are built from the outside in: two outlines touch along a direction u, so their distance
is known by construction and none of the verifier's own arithmetic is used.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pytest

from casting.calc.geometry.exact import ONE, cos_sin
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.values.day_plan import Place

WIDE = Base(diameter_mm=240, hub_mm=240, between_mm=6, reach_mm=7, clear_mm=3)
"""Every foot on the hub: no paths, only gaps and walls."""

Case = tuple[list[Footprint], list[Place], Base]


def wax(chance: random.Random) -> Footprint:
    return Footprint(round(chance.uniform(6, 34), 1), round(chance.uniform(2.5, 17), 1), 6.5)


def printed(x: float, y: float, turn_deg: float) -> Place:
    return Place(round(x, 3), round(y, 3), round(turn_deg, 3))


def arms(one: Footprint, turn_deg: float) -> list[complex]:
    turned = complex(math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg)))
    w, d = one.width_mm / 2, one.depth_mm / 2
    return [turned * complex(a * w, b * d) for a in (1, -1) for b in (1, -1)]


def farthest(points: list[complex], u: complex) -> complex:
    return max(points, key=lambda p: p.real * u.real + p.imag * u.imag)


def gap_case(chance: random.Random, more_mm: float) -> Case:
    """Two waxes whose nearest points lie between + more apart along u."""
    one, other = wax(chance), wax(chance)
    turn, turn_2 = round(chance.uniform(0, 180), 3), round(chance.uniform(0, 180), 3)
    u = complex(math.cos(a := chance.uniform(0, math.tau)), math.sin(a))
    at = complex(round(chance.uniform(-20, 20), 3), round(chance.uniform(-20, 20), 3))
    there = at + farthest(arms(one, turn), u) + (6 + more_mm) * u - farthest(arms(other, turn_2), -u)
    return [one, other], [printed(at.real, at.imag, turn), printed(there.real, there.imag, turn_2)], WIDE


def wall_case(chance: random.Random, more_mm: float) -> Case:
    """A wax whose farthest corner lies wall + more from the wall, and a stud far off."""
    base = Base(diameter_mm=101.6, hub_mm=101.6, between_mm=6, reach_mm=7, clear_mm=3)
    one, turn = wax(chance), round(chance.uniform(0, 180), 3)
    usable = 50.8 - 6.5 - more_mm
    u = complex(math.cos(a := chance.uniform(0, math.tau)), math.sin(a))

    def out(arm: complex) -> float:
        """The foot's distance t at which |t u + arm| = usable."""
        along = arm.real * u.real + arm.imag * u.imag
        return -along + math.sqrt(along**2 - abs(arm) ** 2 + usable**2)

    foot = u * min(out(arm) for arm in arms(one, turn))
    return (
        [one, Footprint(6, 4, 6.5)],
        [printed(foot.real, foot.imag, turn), printed(-30 * u.real, -30 * u.imag, 0)],
        base,
    )


def reach_case(chance: random.Random, more_mm: float) -> Case:
    """A foot that stands at the end of its reach, less more; another across the hub."""
    base = Base(diameter_mm=150, hub_mm=24, between_mm=6, reach_mm=7, clear_mm=3)
    u = complex(math.cos(a := chance.uniform(0, math.tau)), math.sin(a))
    foot = (12 + 7 - more_mm) * u
    places = [printed(foot.real, foot.imag, chance.uniform(0, 180)), printed(-11 * u.real, -11 * u.imag, 0)]
    return [Footprint(14, 6, 6.5), Footprint(6, 5, 6.5)], places, base


def path_case(chance: random.Random, more_mm: float) -> Case:
    """A wax that lies clear + more from the way of a small stud to the hub, beside it."""
    base = Base(diameter_mm=240, hub_mm=20, between_mm=1, reach_mm=60, clear_mm=5)
    while True:
        spin = complex(math.cos(a := chance.uniform(0, math.tau)), math.sin(a))
        foot, hub = spin * chance.uniform(12, 20), spin * 10
        side = math.radians(chance.uniform(30, 150) * chance.choice((1, -1)))
        u = spin * complex(math.cos(side), math.sin(side))
        other, turn = wax(chance), round(chance.uniform(0, 180), 3)
        there = farthest([foot, hub], u) + (5 + more_mm) * u - farthest(arms(other, turn), -u)
        # The other's own way to the hub must keep well off the stud.
        if abs((there.conjugate() * foot).imag) / abs(there) > 6.5:
            places = [printed(foot.real, foot.imag, 0), printed(there.real, there.imag, turn)]
            return [Footprint(1, 1, 6.5), other], places, base


CASES = [(gap_case, "apart"), (wall_case, "from the wall"), (reach_case, "off the cone"), (path_case, "path of wax 1")]


@pytest.mark.parametrize("build", [build for build, _ in CASES])
def test_2500_layouts_that_just_hold_are_accepted(build: Callable[[random.Random, float], Case]):
    # 0.002 more than asked: printing moves a corner by at most 0.0008 mm.
    chance = random.Random(f"holds {build.__name__}")
    for _ in range(2500):
        case = build(chance, 0.002)
        assert faults(*case) == (), case


@pytest.mark.parametrize(("build", "says"), CASES)
def test_2500_layouts_that_are_a_hundredth_short_are_refused(build: Callable[[random.Random, float], Case], says: str):
    chance = random.Random(f"short {build.__name__}")
    for _ in range(2500):
        case = build(chance, -0.01)
        found = faults(*case)
        assert len(found) == 1 and says in found[0], (found, case)


def test_waxes_that_stand_exactly_as_far_apart_as_asked_are_accepted():
    # 6 mm deep each, middles 12 mm apart: 12 - 3 - 3 = 6 mm.
    pair = [Footprint(20, 6, 6.5), Footprint(20, 6, 6.5)]
    assert faults(pair, [Place(0, 6, 0), Place(0, -6, 0)], WIDE) == ()
    assert faults(pair, [Place(0, 6, 90), Place(12, 6, 90)], WIDE) == ()


def test_the_margin_is_a_thousandth_of_a_millimetre():
    # Gaps of 5.999 and 5.998 mm, the margin being 0.001: worked by hand.
    pair = [Footprint(20, 6, 6.5), Footprint(20, 6, 6.5)]
    assert faults(pair, [Place(0, 0, 0), Place(0, 12.0, 0)], WIDE) == ()
    assert faults(pair, [Place(0, 0, 0), Place(0, 11.998, 0)], WIDE) != ()


def test_crossed_waxes_are_refused_though_no_corner_lies_in_the_other():
    assert faults([Footprint(30, 4, 6.5)] * 2, [Place(0, 0, 0), Place(0, 0, 90)], WIDE)


def test_a_wax_inside_another_is_refused():
    # 30 x 30 around 2 x 2: 14 mm from every side, yet not apart.
    waxes = [Footprint(30, 30, 6.5), Footprint(2, 2, 6.5)]
    assert faults(waxes, [Place(0, 0, 0), Place(0, 0, 0)], WIDE)


def test_a_square_that_is_inscribed_in_the_usable_circle_fits_and_no_larger():
    # Usable radius 31.75 - 6.5 = 25.25; the inscribed square has side 25.25 x sqrt(2).
    base, side = Base(63.5, 24, 6, 7, 3), 25.25 * math.sqrt(2)
    for turn_deg in (0, 13.37, 45, 77.777):
        assert faults([Footprint(side, side, 6.5)], [Place(0, 0, turn_deg)], base) == ()
        larger = Footprint(side + 0.01, side + 0.01, 6.5)
        assert faults([larger], [Place(0, 0, turn_deg)], base) != ()


def test_a_wax_alone_stands_on_the_axis():
    base = Base(63.5, 24, 6, 7, 3)
    assert faults([Footprint(10, 6, 6.5)], [Place(0, 0, 20)], base) == ()
    assert faults([Footprint(10, 6, 6.5)], [Place(0, 0.01, 20)], base) != ()


def test_the_resin_wall_counts_for_the_resin_wax():
    # 45 mm long in a 63.5 mm flask: 31.75 - 22.5 = 9.25 mm of wall, enough for wax, not for resin.
    base = Base(63.5, 24, 6, 7, 3)
    assert faults([Footprint(44.9, 4, 6.5)], [Place(0, 0, 0)], base) == ()
    assert faults([Footprint(44.9, 4, 10)], [Place(0, 0, 0)], base) != ()


def test_as_many_places_as_waxes():
    with pytest.raises(ValueError, match="shorter"):
        faults([Footprint(10, 6, 6.5)] * 2, [Place(0, 0, 0)], WIDE)


def test_turns_are_known_to_22_places():
    # cos 60 = 1/2, cos 45 = sqrt(1/2) = 0.7071067811865475244008 (tables), sin 30 = 1/2.
    assert abs(cos_sin(60_000)[0] - ONE // 2) < 100
    assert abs(cos_sin(45_000)[0] - 707_106_781_186_547_524_400_844) < 100
    assert abs(cos_sin(330_000)[1] + ONE // 2) < 100
    assert cos_sin(90_000) == (0, ONE) and cos_sin(180_000) == (-ONE, 0)
