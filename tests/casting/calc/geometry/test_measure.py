"""Measured clearances, beside shapely, which shares no code with them."""

import random

import pytest
from shapely import LineString, Point, Polygon

from casting.calc.geometry.measure import gap_mm, layout_breaches, tree_breaches
from casting.calc.geometry.shapes import Base, Footprint, TreeWax, Trunk, corners
from casting.calc.geometry.verify import faults
from casting.calc.geometry.verify_tree import tree_faults
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import Rule

BASE = Base(diameter_mm=88.9, hub_mm=32, between_mm=6, reach_mm=7, clear_mm=3)
TREE = Base(101.6, 36, 6, 7, 3, Trunk(8, 6, 10, 124))
DRAWN = random.Random().randrange(2**32)
"""Another in each run; a failure names it."""


def waxes(chance, count):
    return [
        Footprint(round(chance.uniform(3, 26), 1), round(chance.uniform(2, 14), 1), chance.choice([6.5, 10]))
        for _ in range(count)
    ]


def anywhere(chance, wide_mm):
    spread = round(chance.uniform(-wide_mm, wide_mm), 3), round(chance.uniform(-wide_mm, wide_mm), 3)
    return *spread, round(chance.uniform(0, 360), 3)


def outline(wax, place):
    return Polygon(corners(wax, place))


def test_the_distance_of_outlines_is_shapely_s():
    chance = random.Random(DRAWN)
    for _ in range(400):
        one, other = waxes(chance, 2)
        at, there = (corners(wax, Place(*anywhere(chance, 20))) for wax in (one, other))
        line = (anywhere(chance, 20)[:2], anywhere(chance, 20)[:2])
        assert gap_mm(at, there) == pytest.approx(Polygon(at).distance(Polygon(there)), abs=1e-9), DRAWN
        assert gap_mm(line, there) == pytest.approx(LineString(line).distance(Polygon(there)), abs=1e-9), DRAWN


def test_two_lines_end_to_end_are_apart():
    assert gap_mm([(0, 0), (2, 0)], [(5, 0), (9, 0)]) == 3
    assert gap_mm([(0, 0), (6, 0)], [(5, 0), (9, 0)]) == 0


def figures_by_shapely(wax, place, others, base):
    """Each rule's figure of one wax, measured by shapely."""
    mine, foot = outline(wax, place), Point(place.x_mm, place.y_mm)
    far = foot.distance(Point(0, 0))
    share = base.hub_mm / 2 / far
    path = LineString([foot.coords[0], (place.x_mm * share, place.y_mm * share)])
    return {
        (Rule.GAP, None): [mine.distance(outline(*other)) for other in others],
        (Rule.PATH, None): [path.distance(outline(*other)) for other in others],
        Rule.WALL: base.diameter_mm / 2 - max(Point(spot).distance(Point(0, 0)) for spot in mine.exterior.coords),
        Rule.REACH: far,
    }


def test_each_breach_has_the_figure_that_shapely_measures_and_each_fault_its_breach():
    chance, seen = random.Random(DRAWN), set()
    for _ in range(300):
        footprints = waxes(chance, chance.randint(2, 4))
        places = [Place(*anywhere(chance, 34)) for _ in footprints]
        keys = [f"w{nth}" for nth in range(len(footprints))]
        found = layout_breaches(keys, footprints, places, BASE)
        assert len(found) == len(faults(footprints, places, BASE)), DRAWN
        for one in found:
            nth = keys.index(one.key)
            figures = figures_by_shapely(footprints[nth], places[nth], list(zip(footprints, places, strict=True)), BASE)
            other = keys.index(one.other) if one.other else None
            expected = figures[one.rule] if other is None else figures[one.rule, None][other]
            assert one.has == pytest.approx(expected, abs=1e-6), (DRAWN, one)
            seen.add(one.rule)
    assert seen == {Rule.GAP, Rule.PATH, Rule.WALL, Rule.REACH}


def test_a_layout_that_holds_has_no_breach_and_a_wax_alone_stands_on_the_axis():
    ring = Footprint(20, 6, 6.5)
    assert layout_breaches(["a", "b"], [ring] * 2, [Place(0, 7, 0), Place(0, -7, 0)], BASE) == ()
    (alone,) = layout_breaches(["a"], [ring], [Place(3, 4, 0)], BASE)
    assert (alone.rule, alone.has, alone.limit) == (Rule.ALONE, 5.0, 0.0)


def test_a_reach_that_is_overruled_is_no_breach():
    ring, far = Footprint(8, 4, 6.5), Place(0, 28, 0)  # hub 16 mm, reach 7: 23 mm
    (reach,) = layout_breaches(["a", "b"], [ring] * 2, [far, Place(0, -7, 0)], BASE)
    assert (reach.rule, reach.has, reach.limit) == (Rule.REACH, 28.0, 23.0)
    allowed = Footprint(8, 4, 6.5, any_reach=True)
    assert layout_breaches(["a", "b"], [allowed, ring], [far, Place(0, -7, 0)], BASE) == ()


def test_a_tree_s_breaches_are_its_faults_with_the_distances_from_the_trunk():
    wax = TreeWax(Footprint(20, 6, 6.5), 30, 12.0)
    # the near face is 3 mm nearer than the middle, the trunk's surface 4 mm from the axis
    (near,) = tree_breaches(["a"], [wax], [TreePlace(0, 12, 0, 16, 1)], TREE)
    assert (near.rule, near.has, near.limit) == (Rule.TRUNK_NEAR, 5.0, 6)
    (far,) = tree_breaches(["a"], [wax], [TreePlace(0, 17.5, 0, 16, 1)], TREE)
    assert (far.rule, far.has, far.limit) == (Rule.TRUNK_FAR, 10.5, 10.0)
    (low,) = tree_breaches(["a"], [wax], [TreePlace(0, 13, 0, 15, 1)], TREE)
    assert (low.rule, low.has) == (Rule.TIER, None)
    assert tree_breaches(["a"], [wax], [TreePlace(0, 13, 0, 16, 1)], TREE) == ()


def test_the_gap_and_the_sprue_s_way_on_a_tree_are_shapely_s():
    chance = random.Random(DRAWN)
    for _ in range(100):
        waxes_ = [TreeWax(wax, 30, 12.0) for wax in waxes(chance, 3)]
        places = [TreePlace(*anywhere(chance, 30), 16, 1) for _ in waxes_]
        found = tree_breaches(["w0", "w1", "w2"], waxes_, places, TREE)
        assert len(found) == len(tree_faults(waxes_, places, TREE)), DRAWN
        shapes = [outline(wax.footprint, place) for wax, place in zip(waxes_, places, strict=True)]
        for one in (one for one in found if one.rule is Rule.GAP):
            expected = shapes[int(one.key[1])].distance(shapes[int(one.other[1])])
            assert one.has == pytest.approx(expected, abs=1e-9), DRAWN


def test_a_base_without_a_trunk_has_no_tree():
    with pytest.raises(ValueError, match="no trunk"):
        tree_breaches([], [], [], BASE)
