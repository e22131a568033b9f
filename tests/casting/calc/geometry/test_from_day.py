"""The shapes of a day's waxes and flasks."""

from dataclasses import replace

import pytest

from casting.calc.geometry.from_day import base_of, footprint_of, room_above_mm, trunk_of_size
from casting.calc.geometry.shapes import Base, Footprint, Trunk
from casting.calc.values.day_input import Pattern
from casting.calc.values.enums import Kind
from tests.days.day_input import MIDDLE, a_day, a_wax

TREE = replace(MIDDLE, trunk_mm=8, trunk_gap_mm=6)


def test_the_tallest_wax_is_what_base_cover_and_rim_leave():
    # 63.5 - 10 - 15.875 - 3; a tree loses the fall of its lowest sprues too
    assert room_above_mm(MIDDLE) == 34.625
    assert room_above_mm(TREE) == 28.625


def test_a_cone_has_no_trunk_and_a_tree_ends_below_its_cover():
    assert trunk_of_size(MIDDLE) is None
    # 63.5 - 15.875 - 3
    assert trunk_of_size(TREE) == Trunk(8, 6, 10, 44.625)


def test_a_base_carries_the_clearances_of_the_house():
    rules = a_day([]).rules
    assert base_of(MIDDLE, rules) == Base(63.5, 24, 6, 7, 3)
    assert base_of(TREE, rules).trunk == trunk_of_size(TREE)


@pytest.mark.parametrize(("kind", "wall_mm"), [(Kind.WAX, 6.5), (Kind.RESIN, 10)])
def test_a_resin_wax_keeps_more_wall(kind, wall_mm):
    wax = a_wax("w1")
    day = a_day([wax])
    day = replace(day, patterns={**day.patterns, wax.pattern: Pattern(wax.pattern, kind, 1.0)})
    assert footprint_of(wax, day) == Footprint(wax.width_mm, wax.depth_mm, wall_mm)
