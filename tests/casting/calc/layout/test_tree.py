"""Layouts on trees: what the search finds, against shapely and hand arithmetic."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import permutations

import pytest
from shapely import Point, affinity, box

from casting.calc.geometry.infeasibility import cannot_fit_alone, cannot_share, from_axis_mm
from casting.calc.geometry.shapes import Base, Footprint, TreeWax, Trunk
from casting.calc.layout.tree import _Rings, _Spacing, find_tree, length_of
from casting.calc.values.day_plan import TreePlace

TREE = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))
SLIM = Base(76.2, 27, 6, 7, 3, Trunk(8, 4, 10, 150))

RING = TreeWax(Footprint(20, 6, 6.5), 30, 12.0)


def test_no_turn_of_a_wax_reaches_less_far_than_its_long_side_to_the_trunk():
    # 400 places by chance, pushed out until shapely says that they are off the trunk.
    chance = random.Random("reach")
    for _ in range(400):
        wax = Footprint(chance.uniform(2, 40), chance.uniform(2, 40), 6.5)
        shape = affinity.rotate(box(-wax.width_mm / 2, -wax.depth_mm / 2, wax.width_mm / 2, wax.depth_mm / 2), 0)
        shape = affinity.rotate(shape, chance.choice([0, 90, chance.uniform(0, 180)]), origin=(0, 0))
        u = chance.uniform(0, math.tau)
        low, high = 0.0, 100.0
        for _ in range(40):
            middle = (low + high) / 2
            moved = affinity.translate(shape, middle * math.cos(u), middle * math.sin(u))
            low, high = (low, middle) if moved.distance(Point(0, 0)) >= 10 else (middle, high)
        moved = affinity.translate(shape, high * math.cos(u), high * math.sin(u))
        farthest = max(math.hypot(*corner) for corner in moved.exterior.coords)
        assert farthest >= from_axis_mm(wax, TREE) - 1e-6


def test_a_wax_that_just_fits_alone_is_placed_and_a_larger_one_is_not():
    # Usable 44.3; a plate 20 mm deep from 10 to 30 mm off the axis is at most 2 x sqrt(44.3^2 - 30^2) = 65.19 long.
    for turned in (False, True):
        long_mm = 2 * math.sqrt(44.3**2 - 30**2)
        for more_mm, fits in ((0.0, True), (0.01, False)):
            sides = (long_mm + more_mm, 20.0)
            wax = TreeWax(Footprint(*(sides[::-1] if turned else sides), 6.5), 108, 12.0)
            assert (find_tree([wax], TREE) is not None) is fits
            assert cannot_fit_alone(wax.footprint, TREE) is not fits
    assert find_tree([replace(RING, height_mm=108.01)], TREE) is None


def random_waxes(chance: random.Random, count: int) -> list[TreeWax]:
    return [
        TreeWax(
            Footprint(round(chance.uniform(6, 30), 1), round(chance.uniform(3, 15), 1), chance.choice([6.5, 6.5, 10])),
            round(chance.uniform(14, 38), 1),
            round(chance.uniform(4, 40), 2),
        )
        for _ in range(count)
    ]


def rules_broken(waxes: list[TreeWax], places: tuple[TreePlace, ...], base: Base) -> list[str]:
    """The rules in space, each measured with shapely; 0.002 mm as printed."""
    found, blocks, trunk = [], [], base.trunk
    assert trunk is not None
    for wax, place in zip(waxes, places, strict=True):
        w, d = wax.footprint.width_mm / 2, wax.footprint.depth_mm / 2
        shape = affinity.translate(affinity.rotate(box(-w, -d, w, d), place.turn_deg), place.x_mm, place.y_mm)
        blocks.append((shape, place.z_mm, place.z_mm + wax.height_mm))
        off_mm = shape.distance(Point(0, 0)) - trunk.thick_mm / 2
        far_mm = max(math.hypot(*corner) for corner in shape.exterior.coords)
        if not trunk.gap_mm - 0.002 <= off_mm <= 10.002 or far_mm > base.usable_mm(wax.footprint) + 0.002:
            found.append(f"{place}: {off_mm} off, {far_mm} far")
        if place.z_mm < trunk.from_mm + trunk.gap_mm - 0.001 or blocks[-1][2] > trunk.to_mm + 0.001:
            found.append(f"{place}: height")
    for i, (shape, low, high) in enumerate(blocks):
        for other, other_low, other_high in blocks[:i]:
            free = max(low - other_high, other_low - high, 0.0)
            if math.hypot(free, shape.distance(other)) < base.between_mm - 0.002:
                found.append(f"{shape} and {other}")
    heaviest = {
        tier: max(wax.metal_g for wax, place in zip(waxes, places, strict=True) if place.tier == tier)
        for tier in {place.tier for place in places}
    }
    if [heaviest[tier] for tier in sorted(heaviest)] != sorted(heaviest.values(), reverse=True):
        found.append("heavy tiers first")
    return found


def test_every_tree_that_is_found_keeps_its_rules_in_space():
    chance = random.Random("trees")
    found = 0
    for _ in range(24):
        base = chance.choice([TREE, SLIM])
        waxes = random_waxes(chance, chance.randint(1, 14))
        places = find_tree(waxes, base)
        if places is not None:
            found += 1
            assert rules_broken(waxes, places, base) == []
    assert found > 14


def test_the_order_of_the_waxes_does_not_matter():
    chance = random.Random("order")
    waxes = random_waxes(chance, 9)
    places = find_tree(waxes, TREE)
    assert places is not None
    turned = list(range(9))
    chance.shuffle(turned)
    assert find_tree([waxes[i] for i in turned], TREE) == tuple(places[i] for i in turned)


def test_24_rings_stand_in_four_even_tiers_in_order_round_the_clock():
    rings = [TreeWax(Footprint(22, 6, 6.5), 22, 27.0)] * 24
    places = find_tree(rings, TREE)
    assert places is not None
    # Four tiers of 22 and three gaps of 6 are 106 of the 108 mm; five would be 134.
    assert [place.tier for place in places] == [tier for tier in (1, 2, 3, 4) for _ in range(6)]
    assert [places[6 * tier].z_mm for tier in range(4)] == [16, 44, 72, 100]
    assert length_of(places, TREE) == 90
    hours = [math.atan2(place.x_mm, place.y_mm) % math.tau * 12 / math.tau for place in places[:6]]
    assert hours == pytest.approx([0, 2, 4, 6, 8, 10], abs=1e-3)


def test_what_is_refuted_from_above_is_not_refuted_of_a_tree():
    # Twelve plates 20 x 20: their areas alone are more than the usable circle, yet they stand in three tiers.
    plates = [TreeWax(Footprint(20, 20, 6.5), 20, 9.0)] * 12
    footprints = [plate.footprint for plate in plates]
    assert cannot_share(footprints, replace(TREE, trunk=None))
    assert not cannot_share(footprints, TREE)
    places = find_tree(plates, TREE)
    assert places is not None and rules_broken(plates, places, TREE) == []


def test_two_waxes_side_by_side_take_the_angle_that_their_gap_asks():
    # Near faces 14.003 - 0.003 = 14 mm from the axis at the most a sprue allows, 6 mm wide, 6.003 mm between two
    # alike: each is mirrored at a line midway. Its inner corner is hypot(r, 3) out, at atan(3 / r) from its middle,
    # and 3.0015 mm from that line.
    spacing = _Spacing(TREE, 1.0)
    spacing.numbers([Footprint(20, 6, 6.5)])
    near_mm = 14 - 0.003
    half = math.asin(3.0015 / math.hypot(near_mm, 3)) + math.atan(3 / near_mm)
    assert spacing.angles == [[pytest.approx(2 * half, abs=2 * math.pi / 2**14)]]


def test_angles_are_the_same_whichever_shapes_came_first():
    chance = random.Random("spacing")
    shapes = [wax.footprint for wax in random_waxes(chance, 8)]
    at_once, one_by_one = _Spacing(TREE, 0.5), _Spacing(TREE, 0.5)
    numbers = at_once.numbers(shapes)
    other_numbers = [one_by_one.numbers([shape])[0] for shape in reversed(shapes)][::-1]
    for i, j in permutations(range(8), 2):
        angle = at_once.angles[numbers[i]][numbers[j]]
        assert angle == one_by_one.angles[other_numbers[i]][other_numbers[j]] == at_once.angles[numbers[j]][numbers[i]]


def test_no_tree_is_lower_than_the_bound_on_its_height():
    chance, tight = random.Random("heights"), 0
    for _ in range(40):
        waxes = random_waxes(chance, chance.randint(2, 14))
        places = find_tree(waxes, TREE)
        if places is not None:
            high_mm = max(place.z_mm + wax.height_mm for wax, place in zip(waxes, places, strict=True)) - 16
            least_mm = _Rings(waxes, TREE, 1.0).least_height_mm()
            assert max(wax.height_mm for wax in waxes) <= least_mm <= high_mm + 0.001
            tight += least_mm > high_mm - 1
    assert tight > 5


def test_24_rings_need_three_tiers_at_least():
    # Each takes more than a third of pi / 3 of the turn: see the four tiers above. 3 x 22 and two gaps of 6.
    rings = [TreeWax(Footprint(22, 6, 6.5), 22, 27.0)] * 24
    assert _Rings(rings, TREE, 1.0).least_height_mm() >= 78
