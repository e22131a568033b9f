"""A wax that is thick, thin and thick again: its second sprue is asked for until it is invested."""

from tests.casting.calc.cautions.cases import levels_by_rule
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
