"""What keeps a wax out of a flask, with its figures; each beside a fair case."""

from dataclasses import replace

import pytest

from casting.calc.grouping.breaches import joining, said, standing, together
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.enums import Section, Stones
from casting.calc.values.placed import Breach, Rule
from tests.days.day_input import TALL, a_day, a_wax


def rules(*waxes, **more):
    return FlaskRules(a_day(waxes, **more))


def only(found):
    (one,) = found
    return one


def test_a_wax_that_may_join_breaks_nothing():
    assert joining(rules(a_wax("a"), a_wax("b")), "a", ["b"], "64x64") == ()


@pytest.mark.parametrize(
    ("other", "breach"),
    [
        (a_wax("b", alloy="bronze"), Breach(Rule.METAL, "a", other="b", mine="sterling", theirs="bronze")),
        (a_wax("b", owner="Ana"), Breach(Rule.OWNER, "a", other="b", mine="school", theirs="Ana")),
        (a_wax("b", pattern="resin"), Breach(Rule.KIND, "a", other="b", mine="wax", theirs="resin")),
        (
            a_wax("b", section=Section.VERY_THIN),
            Breach(Rule.SECTIONS, "a", 2, 1, "b", mine="medium", theirs="very_thin"),
        ),
    ],
)
def test_what_may_not_share_names_the_other_wax(other, breach):
    assert only(joining(rules(a_wax("a"), other), "a", ["b"], "64x64")) == breach


def test_the_wax_whose_section_is_farthest_is_named():
    one = rules(
        a_wax("a", section=Section.HEAVY), a_wax("b", section=Section.THIN), a_wax("c", section=Section.VERY_THIN)
    )
    assert only(joining(one, "a", ["b", "c"], "64x64")).other == "c"


def test_a_wax_with_other_stones_is_stopped_everywhere():
    assert joining(rules(a_wax("a", stones=Stones.OTHER)), "a", [], "64x64") == (Breach(Rule.STOPPED, "a"),)


def test_height_and_width_have_the_flask_s_figures():
    # 63.5 - 10 - 15.875 - 3 = 34.625 mm; 2 x (31.75 - 6.5) = 50.5 mm, and hypot(50, 10) = 50.990
    tall, wide = rules(a_wax("a", height_mm=34.7)), rules(a_wax("a", width_mm=50, depth_mm=10))
    high = only(joining(tall, "a", [], "64x64"))
    assert (high.rule, high.has, high.limit) == (Rule.HEIGHT, 34.7, 34.625)
    assert joining(rules(a_wax("a", height_mm=34.6)), "a", [], "64x64") == ()
    across = only(joining(wide, "a", [], "64x64"))
    assert (across.rule, round(across.has, 3), across.limit) == (Rule.WIDTH, 50.99, 50.5)


def test_a_fifth_wax_has_no_place_in_a_flask_for_four():
    five = rules(*(a_wax(key) for key in "abcde"))
    assert only(joining(five, "e", list("abcd"), "64x64")) == Breach(Rule.PLACES, "e", 5, 4)
    assert joining(five, "d", list("abc"), "64x64") == ()


def test_a_charge_over_the_crucible_or_the_melt_has_its_grams():
    # 3 g of wax make 3 / 0.96 x 10.36 = 32.375 g each; with 15 g of button 79.75, up to 80.0
    two = [a_wax("a"), a_wax("b")]
    small = rules(*two, rules={"crucible_ml": 9.5, "crucible_fill_pct": 80, "melt_max_g": 200})
    crucible = only(joining(small, "a", ["b"], "64x64"))
    assert (crucible.rule, crucible.has, round(crucible.limit, 3)) == (Rule.CRUCIBLE, 80.0, 78.736)
    torch = only(joining(rules(*two, rules={"melt_max_g": 79}), "a", ["b"], "64x64"))
    assert (torch.rule, torch.has, torch.limit) == (Rule.TORCH, 80.0, 79)
    assert joining(rules(*two, rules={"melt_max_g": 80}), "a", ["b"], "64x64") == ()


def test_waxes_together_are_judged_one_after_another():
    three = rules(a_wax("a"), a_wax("b"), a_wax("c", alloy="bronze"))
    assert only(together(three, ["a", "b", "c"], "64x64")).key == "c"
    assert together(three, ["a", "b"], "64x64") == ()


def test_a_layout_that_stands_too_near_has_its_gap_and_its_sentence():
    two = rules(a_wax("a"), a_wax("b"))
    # 4 mm deep each: middles 9.1 mm apart leave 5.1
    gap = only(standing(two, {"a": Place(0, 4.55, 0), "b": Place(0, -4.55, 0)}, "64x64"))
    assert (gap.rule, round(gap.has, 3), gap.limit, gap.other) == (Rule.GAP, 5.1, 6, "b")
    assert said(gap, two, "64x64").replace("\ue001", "|").count("|") == 4  # two figures that a school reads in its unit
    assert standing(two, {"a": Place(0, 5, 0), "b": Place(0, -5, 0)}, "64x64") == ()


def test_a_tree_s_charge_counts_the_trunk_of_its_layout():
    tree = replace(TALL, key="tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=6.0, waxes_max=24)
    day = a_day([a_wax("a")], flask_sizes=(tree,), rules={"melt_max_g": 58.0})
    # trunk 6 mm: 8^2 pi/4 x 6/1000 x 10.36 = 3.12 g; 32.375 + 3.12 + 20 = 55.5; 12 mm: 6.25 g, 58.62, up to 59.0
    low, high = ({"a": TreePlace(0, 12, 0, z, 1)} for z in (16.0, 22.0))
    assert standing(FlaskRules(day), low, "tree") == ()
    torch = only(standing(FlaskRules(day), high, "tree"))
    assert (torch.rule, torch.has) == (Rule.TORCH, 59.0)


@pytest.mark.parametrize(
    "rule", [rule for rule in Rule if rule not in (Rule.FIXED, Rule.STOCK, Rule.KILN, Rule.NO_ROOM)]
)
def test_every_rule_that_a_flask_can_break_has_a_sentence(rule):
    breach = Breach(rule, "w1", 5.25, 4.0, "w2", mine="sterling", theirs="bronze")
    sentence = said(breach, rules(a_wax("w1"), a_wax("w2")), "64x64")
    assert "w1" in sentence and sentence.endswith(".") and "{" not in sentence


def test_a_figure_that_breaks_a_rule_is_never_rounded_to_one_that_holds():
    one = rules(a_wax("a"), a_wax("b"))
    near = said(Breach(Rule.GAP, "a", 5.98, 6.0, "b"), one, "64x64")
    far = said(Breach(Rule.REACH, "a", 19.01, 19.0), one, "64x64")
    assert "5.9 mm" in near and "19.1 mm" in far
