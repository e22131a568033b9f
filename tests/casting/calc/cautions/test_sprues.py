"""A wax that is thick, thin and thick again: its second sprue is asked for until it is invested."""

from tests.casting.calc.cautions.cases import levels_by_rule, reach_day
from tests.days.day_file import a_day_file, planned, wax_row


def said(**changes):
    return [
        one["text"] for one in planned(a_day_file([wax_row("w1", **changes)]))["cautions"] if one["id"] == "sprue-each"
    ]


def test_two_thick_parts_are_warned_of_with_the_tag():
    (text,) = said(thick_parts=2)
    assert text.startswith("Give each thick part its own sprue: wax w1 (2 thick parts). A thin part between them sets")


def test_one_thick_part_or_none_recorded_is_fair():
    assert not said(thick_parts=1) and not said() and not said(thickest_mm=3.0)


def test_an_invested_wax_is_past_it():
    day = a_day_file([wax_row("w1", thick_parts=2)])
    label, size = (planned(day)["flasks"][0][key] for key in ("label", "size"))
    assert "sprue-each" in levels_by_rule(day)
    invested = day | {"previous": {label: {"size": size, "waxes": ["w1"]}}, "fixed": [label]}
    assert "sprue-each" not in levels_by_rule(invested)


def test_several_waxes_are_named_in_one_sentence():
    rows = [wax_row("w1", thick_parts=2), wax_row("w2", thick_parts=1), wax_row("w3", thick_parts=3)]
    (text,) = [one["text"] for one in planned(a_day_file(rows))["cautions"] if one["id"] == "sprue-each"]
    assert "wax w1 (2 thick parts), wax w3 (3 thick parts)." in text and "w2" not in text


def test_a_foot_beyond_the_reach_is_told_with_the_teacher_s_reason():
    (text,) = [one["text"] for one in planned(reach_day(17))["cautions"] if one["id"] == "reach-overruled"]
    assert "wax w1 in flask A" in text
    # 17 mm from the axis; hub 19/2 and reach 7 make 16.5
    assert "0.5 mm beyond the sprue's reach" in text and "allowed it: bent by hand to the cone." in text


def test_a_foot_within_the_reach_needs_no_reason_told():
    assert "reach-overruled" not in levels_by_rule(reach_day(16.5))


def test_a_foot_beyond_the_reach_is_told_until_its_flask_is_invested():
    before = {"previous": {"A": {"size": "51x64", "waxes": ["w1", "w2"]}}}
    assert "reach-overruled" in levels_by_rule(reach_day(17) | before)
    assert "reach-overruled" not in levels_by_rule(reach_day(17) | before | {"fixed": ["A"]})
