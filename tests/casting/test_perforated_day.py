"""Days with perforated flasks: what their sleeve changes in a plan, and what it does not; the contract holds both."""

import pytest

from casting.calc.geometry.from_day import room_above_mm, trunk_of_size
from casting.dayfile import read
from tests.contract import breaches
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.example_file import bare

SOLID = {"key": "64x102", "diameter_mm": 63.5, "height_mm": 101.6, "count": 2}
HOLED = SOLID | {"wall": "perforated", "sleeve_mm": 70, "sleeve_height_mm": 120, "fill_mm": 95}


def plan_with(size, **wax):
    day = a_day_file([wax_row("w1", **wax)], flask_sizes=[size])
    plan = planned(day)
    assert breaches(day, plan) == []
    return plan


def test_tape_is_a_sleeve_as_wide_as_the_outside_and_as_high_as_the_flask():
    size = read(bare(flask_sizes=[SOLID | {"wall": "perforated"}])).day.size("64x102")
    assert (size.sleeve_mm, size.sleeve_height_mm, size.fill_mm) == (67.5, 101.6, 101.6)
    solid = read(bare(flask_sizes=[SOLID])).day.size("64x102")
    assert (solid.sleeve_mm, solid.sleeve_height_mm, solid.fill_mm) == (None, None, None)
    assert solid.filled_mm == (63.5, 101.6)


def test_powder_and_water_differ_and_the_charge_does_not():
    (solid,), (holed,) = (plan_with(size)["flasks"] for size in (SOLID, HOLED))
    # by hand in tests/casting/calc/quantities/test_investment.py: 453 g and 515 g; 40 g of water to 100
    assert (solid["powder_g"], solid["water_g"]) == (453, 181.2)
    assert (holed["powder_g"], holed["water_g"]) == (515, 206)
    powder = {"powder_g", "water_g"}
    assert {k: v for k, v in solid.items() if k not in powder} == {k: v for k, v in holed.items() if k not in powder}


def test_a_fill_below_the_rim_leaves_less_height_for_a_wax():
    day = read(bare(flask_sizes=[SOLID, HOLED | {"key": "holed"}, HOLED | {"key": "full", "fill_mm": 120}])).day
    # 101.6 - 10 - 15.875 - 3 = 72.725; filled to 95: 95 - 10 - 15.875 = 69.125; above the rim counts to the rim
    room = {size.key: room_above_mm(size) for size in day.flask_sizes}
    assert room == {"64x102": pytest.approx(72.725), "holed": pytest.approx(69.125), "full": pytest.approx(72.725)}
    assert plan_with(HOLED, height_mm=69)["left_out"] == []
    (left,) = plan_with(HOLED, height_mm=70)["left_out"]
    assert left["reason"] == "too_tall"
    assert plan_with(SOLID, height_mm=70)["left_out"] == []


def test_a_tree_ends_below_what_its_flask_is_filled_to():
    tree = SOLID | {"mount": "tree", "height_mm": 152.4}
    sizes = [tree, tree | {"key": "holed", "wall": "perforated", "fill_mm": 140}]
    solid, holed = read(bare(flask_sizes=sizes)).day.flask_sizes
    # a tree's cover is 25: 152.4 - 25 - 3 = 124.4, and 140 - 25 = 115
    tops = [trunk_of_size(size).to_mm for size in (solid, holed)]
    assert tops == [pytest.approx(124.4), pytest.approx(115)]
