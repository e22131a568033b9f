"""What waxes cover about the axis: against areas worked by shapely, and never above what any place covers."""

from __future__ import annotations

import math
import random

import pytest
from shapely import affinity
from shapely.geometry import Point, box

from casting.calc.geometry.infeasibility import cannot_share, ring_share
from casting.calc.geometry.ring_bound import annulus_area, discs_about, least_cover
from casting.calc.geometry.shapes import Base, Footprint, apart, corners
from casting.calc.geometry.verify import faults
from casting.calc.values.day_plan import Place

BASE = Base(diameter_mm=76.2, hub_mm=27, between_mm=6, reach_mm=7, clear_mm=3)


def covered(sides_mm, grow_mm, foot_mm, turn, discs):
    """What a grown wax covers, by shapely: circles as polygons of 400 sides just outside them."""
    wax = box(-sides_mm[0] / 2, -sides_mm[1] / 2, sides_mm[0] / 2, sides_mm[1] / 2).buffer(grow_mm, 64)
    wax = affinity.translate(affinity.rotate(wax, turn, origin=(0, 0), use_radians=True), foot_mm, 0)
    return sum(weight * wax.intersection(Point(0, 0).buffer(radius, 100)).area for radius, weight in discs)


def test_a_wax_that_cannot_leave_a_disc_covers_it_whole():
    # 6 x 4, foot within 3: the farthest corner at 3 + hypot(3, 2) = 6.6 < 10, so all of 24 mm2, once and a half.
    # Searched to 2 mm2, from below.
    assert 34 <= least_cover((6, 4), 0, 10, 3, ((10, 1.5),)) <= 36
    # Grown by 3 its round corners are cut: 24 + 2 x 10 x 3 + pi 9 = 112.3 less at most 0.8 of each corner.
    assert 112.3 - 4 * 0.8 - 2 < least_cover((6, 4), 3, 10, 3, ((20, 1.0),)) < 112.3


def test_a_disc_is_covered_least_at_the_wall_lying_along_it():
    # 20 x 4 in a circle of 12, disc of 8: lying along the wall, corners at (x, 10): x = sqrt(144 - 100) = 6.63, so
    # the side next the axis is at 6.63 - 4 = 2.63. Seen from the axis the strip from 2.63 to 6.63, within +-10.
    def within(x):
        return x * math.sqrt(64 - x * x) + 64 * math.asin(x / 8)

    found = least_cover((20, 4), 0, 12, 12, ((8, 1.0),))
    assert within(math.sqrt(44)) - within(math.sqrt(44) - 4) - 2 <= found
    assert found <= within(math.sqrt(44)) - within(math.sqrt(44) - 4) + 1e-6


def test_no_place_covers_less():
    chance = random.Random("cover")
    for _ in range(12):
        reach, usable = chance.uniform(12, 24), chance.uniform(22, 38)
        sides, grow = (chance.uniform(8, 30), chance.uniform(2, 8)), chance.choice((0.5, 3))
        discs = discs_about(reach)
        least, lowest = least_cover(sides, grow, usable, reach, discs), math.inf
        for _ in range(150):
            foot, turn = chance.uniform(0.7 * reach, reach), chance.uniform(0, math.pi)
            stood = Place(foot, 0, math.degrees(turn))
            if max(math.hypot(*corner) for corner in corners(Footprint(*sides, 0), stood)) <= usable:
                lowest = min(lowest, covered(sides, grow, foot, turn, discs))
        assert least <= lowest + 0.01
        assert lowest == math.inf or least > 0.5 * lowest - 25  # and it is no empty promise


def test_the_ring_and_its_middle_by_hand():
    # Reach 20: 21^2 - 9^2 + 4^2 = 376.
    assert annulus_area(discs_about(20)) == pytest.approx(math.pi * 376)


def test_six_wide_signets_need_more_of_the_ring_than_there_is():
    # By areas alone six of 26 x 13 fit: 6 x (338 + 234 + 28.3) = 3602 of pi 34.6^2 = 3761.
    signets = [Footprint(26, 13, 6.5)] * 6
    assert 6 * ring_share(signets[0], BASE) > 1
    assert cannot_share(signets, BASE)
    assert not cannot_share(signets[:4], BASE)


def test_a_layout_that_just_stands_is_never_refuted():
    """Random layouts, each on a base drawn in until nothing more is left of wall, gap and reach."""
    chance, stood = random.Random("just stands"), 0
    while stood < 25:
        waxes, places = [], []
        for _ in range(40):
            long = round(chance.uniform(6, 28), 1)
            wax = Footprint(long, round(min(long, chance.uniform(3, 16)), 1), 6.5)
            far, at = 20.5 * math.sqrt(chance.random()), chance.uniform(0, math.tau)
            place = Place(
                round(far * math.cos(at), 3), round(far * math.sin(at), 3), round(180 * chance.random(), 3) % 180
            )
            if not [one for one in faults([*waxes, wax], [*places, place], BASE) if "alone" not in one]:
                waxes, places = [*waxes, wax], [*places, place]
        if len(waxes) < 3:
            continue
        farthest = max(math.hypot(*spot) for wax, at in zip(waxes, places, strict=True) for spot in corners(wax, at))
        gap = min(apart(waxes[i], places[i], waxes[j], places[j]) for i in range(len(waxes)) for j in range(i))
        foot = max(math.hypot(at.x_mm, at.y_mm) for at in places)
        tight = Base(2 * (farthest + 6.5), 2 * min(13.5, foot), gap, max(foot - 13.5, 0.0), 3)
        if not faults(waxes, places, tight):
            stood += 1
            assert not cannot_share(waxes, tight)
            assert math.fsum(ring_share(wax, tight) for wax in waxes) <= 1
