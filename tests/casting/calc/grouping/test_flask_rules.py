"""The rules for sharing a flask that need no layout, worked by hand from the day of `tests.days.day_input`."""

from dataclasses import replace

import pytest

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.values.enums import Kind, Section
from tests.days.day_input import SMALL, a_day, a_wax, sizes


def rules_of(*waxes, rules=None, **more):
    return FlaskRules(a_day(waxes, rules, **more))


def keys(*names):
    return frozenset(names)


def test_a_family_is_alloy_owner_and_kind_unless_kinds_mix():
    wax = a_wax("w1", alloy="bronze", owner="Ada", pattern="resin")
    assert rules_of(wax).items["w1"].family == ("bronze", "Ada", "resin")
    assert rules_of(wax, rules={"mix_pattern_kinds": True}).items["w1"].family == ("bronze", "Ada", "")


def test_an_item_has_its_metal_and_its_area():
    item = rules_of(a_wax("w1")).items["w1"]
    assert item.metal_g == pytest.approx(32.375)  # 3 / 0.96 x 10.36
    assert item.area_mm2 == 32  # 8 x 4 mm


def test_a_wax_fits_alone_by_height_then_width_then_charge():
    # Heights: 51 x 64 takes 63.5 - 10 - 13 - 3 = 37.5 mm, 64 x 64 34.625, 76 x 102 69.55.
    # Diagonals: the 51 mm flask has 50.8 - 2 x 6.5 = 37.8 mm, and hypot(32, 24) = 40.
    tall, wide = a_wax("tall", height_mm=36.0), a_wax("wide", width_mm=32.0, depth_mm=24.0)
    rules = rules_of(tall, wide)
    assert rules.high_enough["tall"] == ("51x64", "76x102")
    assert rules.alone["tall"] == ("51x64", "76x102")
    assert (rules.high_enough["wide"], rules.wide_enough["wide"]) == (("51x64", "64x64", "76x102"), ("64x64", "76x102"))
    # 16.6 g x 10.36 / 0.96 = 179.14 g; with 15 % 206.0 g, over the 198.9 g of a melt in every flask.
    heavy = rules_of(a_wax("heavy", wax_g=16.6))
    assert heavy.wide_enough["heavy"] and not heavy.alone["heavy"]


@pytest.mark.parametrize(
    ("more", "together"),
    [
        ({}, True),
        ({"section": Section.HEAVY}, True),  # one step from medium
        ({"section": Section.VERY_THIN}, False),  # two steps
        ({"owner": "Ada"}, False),
        ({"alloy": "bronze"}, False),
        ({"pattern": "resin"}, False),
    ],
)
def test_waxes_go_together_if_of_one_family_and_of_near_sections(more, together):
    assert rules_of(a_wax("w1"), a_wax("w2", **more)).together(["w1", "w2"]) is together


def test_a_flask_allows_no_more_waxes_than_it_may_hold():
    rules = rules_of(*(a_wax(f"w{nth}", wax_g=1.0) for nth in range(3)))
    assert rules.allows(keys("w0", "w1"), "51x64")
    assert not rules.allows(keys("w0", "w1", "w2"), "51x64")
    assert rules.allows(keys("w0", "w1", "w2"), "64x64")


def test_a_flask_allows_no_more_metal_than_one_melt():
    # Two of 8 g: 172.67 g, with 15 % 198.57 g, up to 199.0 g: over 198.912 g. Of 7.9 g: 196.1 g, and it melts.
    assert not rules_of(a_wax("w1", wax_g=8.0), a_wax("w2", wax_g=8.0)).allows(keys("w1", "w2"), "64x64")
    assert rules_of(a_wax("w1", wax_g=7.9), a_wax("w2", wax_g=7.9)).allows(keys("w1", "w2"), "64x64")


def test_the_heaviest_section_decides_the_button():
    # 64.75 g of metal: 15 % is 9.71 g, less than the 10 g of a 51 mm flask; 25 % is 16.1875 g.
    medium = rules_of(a_wax("w1"), a_wax("w2"))
    assert medium.button_g(["w1", "w2"], "51x64") == pytest.approx(10.0)
    assert medium.charge_g(["w1", "w2"], "51x64") == 75.0  # 74.75 g, up to 0.5
    heavy = rules_of(a_wax("w1"), a_wax("w2", section=Section.HEAVY))
    assert heavy.button_g(["w1", "w2"], "51x64") == pytest.approx(16.1875)


def test_without_a_layout_a_tree_has_its_shortest_trunk():
    # The gap of 10 mm alone: pi / 4 x 64 x 10 = 502.65 mm3, x 10.36 = 5.2075 g; with 40 mm four times as much.
    tree = replace(SMALL, key="tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=10.0)
    rules = rules_of(a_wax("w1"), flask_sizes=(SMALL, tree))
    assert rules.parts_g(["w1"], "tree") == pytest.approx((32.375, 5.2075, 10.0), abs=1e-4)
    assert rules.parts_g(["w1"], "tree", 40.0)[1] == pytest.approx(20.830, abs=1e-3)
    assert rules.parts_g(["w1"], "51x64")[1] == 0.0


def test_a_flask_with_a_resin_burns_out_as_resin():
    rules = rules_of(a_wax("w1"), a_wax("w2", pattern="resin"), rules={"mix_pattern_kinds": True})
    assert (rules.kind(["w1"]), rules.kind(["w1", "w2"])) == (Kind.WAX, Kind.RESIN)


def test_two_waxes_are_apart_where_no_layout_of_both_exists():
    # 28 x 20 mm, 34.4 mm from corner to corner, in 37.8 mm: each foot is within 18.9 mm less half the short side,
    # 8.9 mm, of the axis, but two feet are 10 + 10 + 6 mm apart. In 63.2 mm there is room for both.
    rules = rules_of(a_wax("w1", width_mm=28.0, depth_mm=20.0), a_wax("w2", width_mm=28.0, depth_mm=20.0))
    assert rules.apart("w1", "w2", "51x64") and rules.apart("w2", "w1", "51x64")
    assert not rules.apart("w1", "w2", "76x102")


def test_every_figure_is_of_this_day():
    rules = rules_of(a_wax("w1"), flask_sizes=sizes(tall=0))
    # 51 x 64: 182 g of powder; 64 x 64: 283 g (worked in `test_cost` and `test_small_days`).
    assert (rules.powder_g["51x64"], rules.powder_g["64x64"]) == (182, 283)
