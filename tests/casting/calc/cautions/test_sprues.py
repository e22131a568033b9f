"""A wax that is thick, thin and thick again: its second sprue is asked for until it is invested."""

from tests.casting.calc.cautions.cases import levels_by_rule
from tests.days.day_file import a_day_file, planned, wax_row


def said(**changes):
    return [
        one["text"] for one in planned(a_day_file([wax_row("w1", **changes)]))["cautions"] if one["id"] == "sprue-each"
    ]


def test_two_thick_parts_are_warned_of_with_the_tag():
    (text,) = said(thick_parts=2)
    assert text.startswith("Give wax w1 a sprue at each of its 2 thick parts.")


def test_one_thick_part_or_none_recorded_is_fair():
    assert not said(thick_parts=1) and not said() and not said(thickest_mm=3.0)


def test_an_invested_wax_is_past_it():
    day = a_day_file([wax_row("w1", thick_parts=2)])
    label, size = (planned(day)["flasks"][0][key] for key in ("label", "size"))
    assert "sprue-each" in levels_by_rule(day)
    invested = day | {"previous": {label: {"size": size, "waxes": ["w1"]}}, "fixed": [label]}
    assert "sprue-each" not in levels_by_rule(invested)
