"""Flasks and waxes on the board: one scale for all, waxes large enough for a finger, mirrored when turned over."""

import json
from xml.etree import ElementTree

import pytest

from casting.drawings.board_flask import (
    HIT_MM,
    PX_PER_MM,
    Marks,
    draw_from_the_side,
    draw_loose_wax,
    draw_on_board,
    draw_size,
)
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import WaxName
from tests.days.day_file import a_day_file, planned, wax_row

TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}


def root(drawn):
    return ElementTree.fromstring(drawn)


def spots(drawn):
    return {one.get("data-tag"): [float(n) for n in one.get("data-spot").split()] for one in root(drawn).iter("a")}


def test_a_flask_of_twice_the_width_is_drawn_twice_as_wide(plan):
    narrow, wide = (float(root(draw_size(mm)).get("width")) for mm in (51, 102))
    assert wide == 2 * narrow
    drawn = root(draw_on_board(plan.flasks[0], plan.flasks[0].waxes, Marks()))
    # 63.5 mm and a rim of 4 mm on both sides, at 3 px to a mm.
    assert float(drawn.get("width")) == pytest.approx((63.5 + 8) * PX_PER_MM)
    assert float(drawn.get("width")) / float(drawn.get("viewBox").split()[2]) == PX_PER_MM


def test_turned_over_it_is_mirrored_left_and_right_and_its_notch_stays(plan):
    flask = plan.flasks[0]
    front, back = (spots(draw_on_board(flask, flask.waxes, Marks(), from_button=one)) for one in (False, True))
    assert len(front) == len(flask.waxes) and any(abs(x) > 1 for x, _y, _turn in front.values())
    for tag, (x, y, turn) in front.items():
        assert back[tag] == [-x, y, -turn]
    # Nothing is put on a spot of a drawing that is mirrored.
    assert root(draw_on_board(flask, flask.waxes, Marks())).get("data-spots") == "1"
    assert root(draw_on_board(flask, flask.waxes, Marks(), from_button=True)).get("data-spots") is None


def test_a_finger_has_48_pixels_for_every_wax_and_a_tag_is_14_high(plan):
    flask = plan.flasks[0]
    drawn = root(draw_on_board(flask, flask.waxes, Marks()))
    assert 2 * HIT_MM * PX_PER_MM >= 48
    assert all(float(one.get("r")) == HIT_MM for one in drawn.iter("circle") if one.get("class") == "touch")
    sizes = [float(one.get("font-size")) * PX_PER_MM for one in drawn.iter("text")]
    assert len(sizes) == len(flask.waxes) and min(sizes) >= 14


def test_what_is_kept_has_moved_or_is_in_hand_is_marked(plan):
    flask = plan.flasks[0]
    first, second, third = (one.name.tag for one in flask.waxes[:3])
    drawn = root(draw_on_board(flask, flask.waxes, Marks({first}, {second}, third)))
    classes = {one.get("data-tag"): one.get("class") for one in drawn.iter("a")}
    assert (classes[first], classes[second], classes[third]) == ("wax kept", "wax moved", "wax in-hand")
    assert len([one for one in drawn.iter("path") if one.get("class") == "solid"]) == 2  # the notch, and one pin


def test_what_a_student_typed_is_closed(plan):
    wax = draw_loose_wax(WaxName("C3", "<b>Wren</b>", "ring & bail"), (22, 8), Marks())
    assert "<b>" not in wax and "ring &amp; bail" in wax
    assert float(root(wax).get("viewBox").split()[2]) == pytest.approx(2 * (22 / 2 + 0.6))


def test_from_the_side_each_wax_is_as_high_as_it_is_and_the_cover_is_said(plan):
    flask = plan.flasks[0]
    drawn = root(draw_from_the_side(flask, SchoolUnits()))
    heights = sorted(float(one.get("height")) for one in drawn.iter("rect") if one.get("class") == "block")
    assert heights == sorted(one.wax.height_mm for one in flask.waxes)
    words = [one.text for one in drawn.iter("text")]
    tallest = max(one.wax.height_mm for one in flask.waxes)
    assert f"{flask.size.height_mm - flask.size.base_mm - tallest:.1f}\u202fmm above" in words


def test_a_tree_is_drawn_tier_by_tier_and_from_the_side_each_on_its_height():
    rings = [wax_row(f"w{n}", wax_g=2.5, depth_mm=6.0, height_mm=30.0) for n in range(8)]
    day = a_day_file(rings, rules={"crucible_ml": 150, "melt_max_g": 1400}, flask_sizes=[TREE])
    flask = read_plan(json.dumps(planned(day)), json.dumps(day)).flasks[0]
    assert len(flask.tiers) == 2
    drawn = [root(draw_on_board(flask, tier.waxes, Marks())) for tier in flask.tiers]
    assert [len(list(one.iter("a"))) for one in drawn] == [len(tier.waxes) for tier in flask.tiers]
    # A wax is put on a spot of a tier, or onto a new one above all.
    drawn = [draw_on_board(flask, rings, Marks(), tier=nth) for nth, rings in ((2, flask.tiers[1].waxes), (3, ()))]
    assert [(root(one).get("data-spots"), root(one).get("data-tier")) for one in drawn] == [("1", "2"), ("1", "3")]
    assert "tier 2 from the wax side" in drawn[0] and "a new tier 3" in drawn[1]
    side = root(draw_from_the_side(flask, SchoolUnits()))
    tops = [float(one.get("y")) for one in side.iter("rect") if one.get("class") == "block"]
    highest = max(tier.top_mm for tier in flask.tiers)
    assert min(tops) == pytest.approx(flask.size.height_mm - highest)
