"""The exact check of trees: what it accepts and refuses, against shapely and hand arithmetic."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import permutations

import pytest
from shapely import LineString, Point, affinity, box
from shapely.ops import nearest_points

from casting.calc.geometry.shapes import Base, Footprint, TreeWax, Trunk
from casting.calc.geometry.verify_tree import tree_faults
from casting.calc.values.day_plan import TreePlace

TREE = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))

RING = TreeWax(Footprint(20, 6, 6.5), 30, 12.0)
# 20 mm out from the axis its near face lies 20 - 10 = 10 mm from it, 6 from a trunk 4 mm thick to its side.
EAST, WEST, NORTH = (TreePlace(20, 0, 0, 16, 1), TreePlace(-20, 0, 0, 16, 1), TreePlace(0, 20, 90, 52, 2))


def at(place: TreePlace, **changes: float) -> TreePlace:
    return replace(place, **changes)


def three(*places: TreePlace, base: Base = TREE, waxes: tuple[TreeWax, ...] = (RING,) * 3) -> tuple[str, ...]:
    return tree_faults(waxes, places, base)


def test_two_tiers_that_fit_exactly_are_accepted():
    # Tops: 16 + 30 = 46, and 6 more is where tier 2 begins; its top is 52 + 30 = 82.
    tight = replace(TREE, trunk=Trunk(8, 6, 10, 82))
    assert three(EAST, WEST, NORTH, base=tight) == ()


SHORT = {
    "less than 6 mm from the trunk": (at(EAST, x_mm=19.99), WEST, NORTH),
    "more than 10 mm from the trunk": (at(EAST, x_mm=24.01), WEST, NORTH),
    "6 mm over the cone": (at(EAST, z_mm=15.99), at(WEST, z_mm=15.99), NORTH),
    "Tier 2 is less than 6 mm over tier 1": (EAST, WEST, at(NORTH, z_mm=51.99)),
    "too little cover": (EAST, WEST, at(NORTH, z_mm=94.01)),
    "do not stand at one height": (EAST, at(WEST, z_mm=16.01), NORTH),
    "not numbered": (EAST, WEST, at(NORTH, tier=3)),
    # Beside each other, 12 mm from middle to middle: 12 - 3 - 3 = 6.
    "Waxes 1 and 2 are less than 6 mm apart": (EAST, at(EAST, y_mm=11.99), NORTH),
    # The axis inside the wax.
    "Wax 3 is less than 6 mm from the trunk": (EAST, WEST, at(NORTH, y_mm=0)),
}


@pytest.mark.parametrize("says", SHORT)
def test_a_hundredth_short_is_refused(says: str):
    (found,) = three(*SHORT[says])
    assert says in found


def test_what_is_exactly_at_a_limit_is_accepted():
    assert three(at(EAST, x_mm=24), WEST, at(NORTH, z_mm=94)) == ()
    assert three(EAST, at(EAST, y_mm=12), NORTH) == ()


def test_the_wall_of_each_wax_counts():
    # The far corners lie hypot(30, 3) = 30.1496 mm from the axis: 50.8 - 30.1496 = 20.6504 mm of wall.
    for wall_mm, holds in ((20.65, True), (20.66, False)):
        walled = replace(RING, footprint=Footprint(20, 6, wall_mm))
        assert (three(EAST, WEST, NORTH, waxes=(walled, RING, RING)) == ()) is holds


def test_a_sprue_keeps_clear_of_other_waxes():
    # A wax 10 mm off the trunk has its sprue from x = 14 to 4. 4 x 2 mm at x 9.6 to 13.6 lies 3 mm beside it.
    close = replace(TREE, between_mm=0.3)
    waxes = (RING, TreeWax(Footprint(4, 2, 6.5), 30, 12.0))
    beside = TreePlace(11.6, 4, 0, 16, 1)
    assert tree_faults(waxes, (at(EAST, x_mm=24), beside), close) == ()
    (found,) = tree_faults(waxes, (at(EAST, x_mm=24), at(beside, y_mm=3.99)), close)
    assert found == "Wax 2 is less than 3 mm from the sprue of wax 1."


def test_no_tier_is_heavier_than_the_one_below_it():
    as_heavy, heavier = replace(RING, metal_g=12.0), replace(RING, metal_g=12.01)
    light = replace(RING, metal_g=5.0)
    assert three(EAST, WEST, NORTH, waxes=(RING, light, as_heavy)) == ()
    assert three(EAST, WEST, NORTH, waxes=(RING, light, heavier)) == ("Tier 2 is heavier than tier 1 below it.",)


def test_as_many_places_as_waxes_and_a_trunk():
    with pytest.raises(ValueError, match="shorter"):
        tree_faults([RING, RING], [EAST], TREE)
    with pytest.raises(ValueError, match="no trunk"):
        tree_faults([RING], [EAST], replace(TREE, trunk=None))


def by_chance(chance: random.Random) -> tuple[list[TreeWax], list[TreePlace]]:
    """Up to four waxes in two tiers, most of them within some hundredths of a limit."""

    def about(value: float) -> float:
        return round(value + chance.choice([0.0, chance.uniform(-0.02, 0.02), chance.uniform(0, 3)]), 3)

    tall_mm, count = round(chance.uniform(15, 40), 1), chance.randint(1, 4)
    low_mm = about(16)
    high_mm = about(low_mm + tall_mm + 6)
    waxes, places = [], []
    for number in range(count):
        tier = 1 if number == 0 else chance.choice([1, 1, 2])
        sides = round(chance.uniform(8, 28), 1), round(chance.uniform(3, 12), 1)
        quarter = chance.choice([0, 1])
        angle = math.tau * number / count + chance.uniform(-0.3, 0.3)
        foot_mm = chance.choice([about(10), 14.02 - abs(about(14) - 14)]) + sides[quarter] / 2
        turn_deg = math.degrees(angle) + 90 * quarter + chance.choice([0, 0, 0, chance.uniform(-8, 8)])
        tall = tall_mm if number == 0 else round(chance.uniform(10, tall_mm), 1)
        waxes.append(TreeWax(Footprint(*sides, 6.5), tall, 20.0 / tier))
        spot = round(foot_mm * math.cos(angle), 3), round(foot_mm * math.sin(angle), 3)
        places.append(TreePlace(*spot, round(turn_deg % 180, 3), low_mm if tier == 1 else high_mm, tier))
    return waxes, places


def spare_mm(waxes: list[TreeWax], places: list[TreePlace]) -> float:
    """By how much the tightest rule holds, measured with shapely; less than 0 if one is broken."""
    spare, shapes = [], []
    for wax, place in zip(waxes, places, strict=True):
        w, d = wax.footprint.width_mm / 2, wax.footprint.depth_mm / 2
        shapes.append(affinity.translate(affinity.rotate(box(-w, -d, w, d), place.turn_deg), place.x_mm, place.y_mm))
        off_mm = shapes[-1].distance(Point(0, 0)) - 4
        spare += [off_mm - 6, 10 - off_mm, 44.3 - max(math.hypot(*spot) for spot in shapes[-1].exterior.coords)]
    for i, j in permutations(range(len(waxes)), 2):
        if places[i].tier == places[j].tier:
            near, _ = nearest_points(shapes[i], Point(0, 0))
            share = 4 / max(near.distance(Point(0, 0)), 1e-9)
            way = LineString([(near.x, near.y), (near.x * share, near.y * share)])
            spare += [shapes[i].distance(shapes[j]) - 6, way.distance(shapes[j]) - 3]
    tops = {place.tier: 0.0 for place in places}
    for wax, place in zip(waxes, places, strict=True):
        tops[place.tier] = max(tops[place.tier], place.z_mm + wax.height_mm)
    spare += [places[0].z_mm - 16, 124 - max(tops.values())]
    return min([*spare, *(place.z_mm - tops[1] - 6 for place in places if place.tier == 2)])


def test_layouts_at_their_limits_are_judged_as_shapely_measures_them():
    # The margin is 0.001 mm: what is broken by 0.002 must be refused, what holds must be accepted.
    chance, accepted, refused = random.Random("limits"), 0, 0
    while accepted < 150 or refused < 150:
        waxes, places = by_chance(chance)
        spare, found = spare_mm(waxes, places), tree_faults(waxes, places, TREE)
        if spare >= 0.0005:
            accepted += 1
            assert found == (), (spare, places)
        elif spare <= -0.002:
            refused += 1
            assert found != (), (spare, places)
