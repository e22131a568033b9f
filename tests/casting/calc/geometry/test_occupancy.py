"""How full waxes make a base: areas against shapely, never under what is proved, and telling enough to be of use."""

from __future__ import annotations

import math
import random

import pytest

from casting.calc.geometry.infeasibility import foot_within, ring_share
from casting.calc.geometry.occupancy import FEET, TURNS, shares
from casting.calc.geometry.ring_bound import annulus_area, discs_about
from casting.calc.geometry.shapes import Base, Footprint, Trunk
from casting.calc.grouping.budget import STEPS
from casting.calc.layout.search import find_layout
from tests.casting.calc.geometry.test_ring_bound import covered

BASE = Base(diameter_mm=76.2, hub_mm=27, between_mm=6, reach_mm=7, clear_mm=3)


def some_waxes(seed, count):
    chance = random.Random(seed)
    return [Footprint(chance.uniform(14, 28), chance.uniform(4, 13), 6.5) for _ in range(count)]


def test_a_share_is_the_least_of_the_spots_looked_at():
    # Worked by shapely at each of the spots: the foot a quarter, a half ... of the way out to where the wall or the
    # reach stops it. Corners are square here and round there: at most (4 - pi) x 3^2 = 7.8 mm2 of 1500 lie between.
    discs = discs_about(BASE.hub_mm / 2 + BASE.reach_mm)
    for wax, share in zip(some_waxes("spots", 6), shares(some_waxes("spots", 6), BASE), strict=True):
        spots = []
        for turn in (nth * math.pi / 2 / (TURNS - 1) for nth in range(TURNS)):
            most = min(foot_within(wax, BASE), farthest(wax, turn))
            spots += [(most * nth / (FEET - 1), turn) for nth in range(FEET)]
        sides = max(wax.width_mm, wax.depth_mm), min(wax.width_mm, wax.depth_mm)
        least = min(covered(sides, BASE.between_mm / 2, foot, turn, discs) for foot, turn in spots) / annulus_area(
            discs
        )
        assert share == pytest.approx(least, abs=0.012)


def farthest(wax, turn):
    """How far out the middle may stand at a turn, every corner within the usable circle: tried by tenths of a mm."""
    half_long, half_short = wax.half_long_mm, wax.half_short_mm
    corners = [(x * half_long, y * half_short) for x in (1, -1) for y in (1, -1)]
    turned = [(x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in corners]
    steps = [n / 10 for n in range(400)]
    return max((at for at in steps if all(math.hypot(x + at, y) <= BASE.usable_mm(wax) for x, y in turned)), default=0)


def test_a_guess_is_never_under_what_is_proved():
    # What a wax covers at some spot is no less than the least it covers anywhere, square corners only add.
    for wax, share in zip(some_waxes("proved", 12), shares(some_waxes("proved", 12), BASE), strict=True):
        assert share >= ring_share(wax, BASE) - 1e-9


def test_no_share_of_a_tree_and_none_where_feet_may_not_stand():
    tree = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))
    assert not shares(some_waxes("tree", 3), tree).any()
    assert not shares(some_waxes("tree", 3), Base(76.2, 0, 6, 0, 3)).any()
    assert len(shares([], BASE)) == 0


def test_roomy_sets_have_a_layout_and_the_fullest_have_none():
    chance = random.Random("roomy")
    found = {True: [], False: []}
    for _ in range(150):
        waxes = some_waxes(chance.random(), chance.randint(3, 7))
        full = shares(waxes, BASE).sum()
        if full <= STEPS[0].full or full > 1.02:
            found[full > 1].append(find_layout(waxes, BASE, STEPS[0].work) is not None)
    assert len(found[False]) > 10
    assert all(found[False])
    assert len(found[True]) > 5
    assert not any(found[True])


def test_steps_go_from_roomy_to_anything_with_more_and_more_work():
    assert [step.full for step in STEPS] == sorted({step.full for step in STEPS})
    assert [step.work for step in STEPS] == sorted(step.work for step in STEPS)
    assert STEPS[-1].full == math.inf
