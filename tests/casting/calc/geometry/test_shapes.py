"""Rectangles seen from above: corners, distances, gaps, held against shapely."""

import math
import random

import pytest
from shapely import Polygon

from casting.calc.geometry.shapes import Base, Footprint, TreeWax, Trunk, apart, corners, gaps
from casting.calc.values.day_plan import Place

BASE = Base(63.5, 24, 6, 7, 3)


def test_a_footprint_knows_its_halves_whichever_way_it_is_written():
    # 3-4-5: half of 6 x 8 is 3 x 4, the half diagonal 5
    for one in (Footprint(6, 8, 6.5), Footprint(8, 6, 6.5)):
        assert (one.half_short_mm, one.half_long_mm, one.half_diagonal_mm) == (3, 4, 5)


def test_the_wall_and_the_trunk_are_taken_off():
    # 63.5 / 2 - 6.5
    assert BASE.usable_mm(Footprint(20, 6, 6.5)) == 25.25
    # 8 / 2 + 6
    assert Trunk(8, 6, 10, 124).nearest_mm == 10


def test_corners_turn_anticlockwise():
    found = corners(Footprint(20, 6, 6.5), Place(1, 2, 90))
    expected = ((-2, 12), (-2, -8), (4, -8), (4, 12))
    for spot, to in zip(found, expected, strict=True):
        assert spot == pytest.approx(to)


def test_distances_are_those_of_shapely():
    chance = random.Random("shapes")
    compared = 0
    for _ in range(300):
        waxes = [Footprint(chance.uniform(2, 25), chance.uniform(2, 25), 6.5) for _ in range(2)]
        places = [Place(chance.uniform(-30, 30), chance.uniform(-30, 30), chance.uniform(0, 180)) for _ in range(2)]
        one, other = (Polygon(corners(wax, place)) for wax, place in zip(waxes, places, strict=True))
        if one.distance(other) > 0:
            compared += 1
            assert apart(waxes[0], places[0], waxes[1], places[1]) == pytest.approx(one.distance(other))
    assert compared > 100


def test_the_narrowest_gap_and_wall_are_shown():
    waxes = [Footprint(20, 6, 6.5)] * 3
    places = [Place(0, 0, 0), Place(0, 12, 0), Place(0, -13, 0)]
    # 12 - 6 between the first two; the corner (10, -16) is sqrt(356) = 18.868 from the axis
    assert gaps(waxes, places, BASE) == (6.0, pytest.approx(31.75 - math.sqrt(356)))
    # alone: the corner (10, 3)
    assert gaps(waxes[:1], places[:1], BASE) == (None, pytest.approx(31.75 - math.sqrt(109)))


def test_tree_waxes_sort_tall_and_large_ones_first():
    tall, wide, heavy, light = (
        TreeWax(Footprint(*sides, 6.5), height, metal)
        for sides, height, metal in (((4, 4), 30, 1), ((9, 4), 20, 1), ((4, 4), 20, 2), ((4, 4), 20, 1))
    )
    assert sorted([light, heavy, wide, tall], key=lambda wax: wax.rank) == [tall, wide, heavy, light]
