"""The house rules as boxes: every rule has one, an empty one is the usual rule, in the school's units."""

import pytest

from casting.dayfile.equipment import RULES
from casting.forms.shelf.form import ThingForm
from casting.forms.shelf.rules import GROUPS
from casting.models import HouseRules
from casting.services.stock import stock_school
from tests.casting.forms.shelf.test_form import OTHER_UNITS

OWN = {
    "wall_mm": 7.3, "kiln_gap_mm": 13.7, "melt_max_g": 163.3, "charge_step_g": 0.7, "bowl_extra_g": 31.1,
    "button_pct": {"very_thin": 15, "thin": 17, "medium": 15, "heavy": 25},
    "button_g_by_diameter": [[51.3, 9.7], [77.9, 21.3]], "crucibles_ml": [9, 14.5], "hands": 2,
    "mix_pattern_kinds": True, "aim": "least_material", "melter_min": 6.5,
}  # fmt: skip
"""A school's own rules, none round in another unit."""


@pytest.fixture
def rules(school):
    stock_school(school)
    return HouseRules.objects.get(school=school)


def filled(row, **typed):
    return ThingForm(ThingForm(None, row=row).stored | typed, row=row)


def test_every_rule_of_a_day_file_has_a_box_under_one_heading(rules):
    listed = [name for group in GROUPS for name in group.rules]
    assert sorted(listed) == sorted(RULES.keys() - {"from_memory"})
    assert {name.partition("-")[0] for name in ThingForm(None, row=rules).fields} == set(listed)
    assert all(field.label for field in ThingForm(None, row=rules).fields.values())
    assert all(meaning for group in GROUPS for meaning in group.rules.values())


@pytest.mark.parametrize("units", [{}, OTHER_UNITS, {"weight_unit": "ozt"}], ids=["metric", "inches", "ounces"])
@pytest.mark.parametrize("own", [None, {}, OWN], ids=["stocked", "usual", "own"])
def test_saved_unchanged_nothing_changes(school, rules, units, own):
    for name, value in units.items():
        setattr(school, name, value)
    school.save()
    if own is not None:
        rules.rules = own
        rules.save()
    row = HouseRules.objects.get(school=school)
    before = row.to_day()
    form = filled(row)
    assert form.is_valid(), form.errors
    assert not form.changes_anything
    assert form.changed_row.to_day() == before


def test_the_usual_rules_are_empty_boxes(rules):
    assert set(ThingForm(None, row=rules).stored.values()) == {""}


def test_only_what_differs_is_kept_and_an_empty_box_is_the_usual_rule_again(rules):
    form = filled(rules, **{"wall_mm": "9", "between_mm": "6", "button_pct-heavy": "30", "aim": "least_material"})
    assert form.is_valid(), form.errors
    heavy = {"very_thin": 15, "thin": 15, "medium": 15, "heavy": 30}
    assert form.changed_row.rules == {"wall_mm": 9, "button_pct": heavy, "aim": "least_material"}
    form = filled(form.changed_row, **{"wall_mm": " ", "button_pct-heavy": "", "aim": ""})
    assert form.is_valid() and form.changed_row.rules == {}
    assert form.changed_row.wall_mm == 6.5  # the shelf's file


def test_rules_are_read_in_the_school_s_units(school, rules):
    for name, value in OTHER_UNITS.items():
        setattr(school, name, value)
    school.save()
    rows = {"button_g_by_diameter-0-to": "2 1/2", "button_g_by_diameter-0-grams": "10"}
    form = filled(HouseRules.objects.get(school=school), wall_mm="1/4", charge_step_g="0.5", **rows)
    assert form.is_valid(), form.errors
    # 1/4 in = 6.35 mm, 2 1/2 in = 63.5 mm; a pennyweight is 1.55517384 g
    assert form.changed_row.wall_mm == pytest.approx(6.35)
    assert form.changed_row.charge_step_g == pytest.approx(0.77758692)
    assert form.changed_row.button_g_by_diameter == [[63.5, pytest.approx(15.5517384)]]


WRONG = {
    "wall_mm": "1500", "resin_wall_mm": "-1", "between_mm": "six", "sections_may_differ_by": "4",
    "button_pct-thin": "120", "charge_step_g": "0", "melt_max_g": "0", "crucible_fill_pct": "101", "hands": "0",
    "torches": "1.5", "flasks_per_bowl": "none", "bowl_ml": "0", "melt_w": "5", "melter_min": "2000",
    "crucibles_ml-0-cup": "30", "aim": "speed", "pour_min": "5 h", "slack_min": "-60",
}  # fmt: skip


def test_all_mistakes_are_told_together_each_at_its_box(rules):
    form = filled(rules, **WRONG)
    assert not form.is_valid()
    # a smaller crucible is held against the largest only once every box can be read
    assert set(form.errors) == WRONG.keys() - {"crucibles_ml-0-cup"}
    form = filled(rules, **{"crucibles_ml-0-cup": "30"})
    assert form.errors["crucibles_ml-0-cup"] == [
        "30 is entered, but it holds more than crucible, to the brim, 24, which is the largest; give the largest as "
        "crucible, to the brim."
    ]


def test_a_limit_is_told_in_the_school_s_units(school, rules):
    school.weight_unit = "dwt"
    school.save()
    form = filled(HouseRules.objects.get(school=school), charge_step_g="0", melt_max_g="0")
    # 0.001 g = 0.000643 dwt and 1000 g = 643.0149 dwt
    assert form.errors["charge_step_g"] == [
        "0\u202fdwt is entered, but it must be at least 0.0006\u202fdwt and at most 643.0149\u202fdwt; correct it."
    ]
    rows = {"button_g_by_diameter-0-to": "50", "button_g_by_diameter-0-grams": "10"}
    rows |= {"button_g_by_diameter-1-to": "60", "button_g_by_diameter-1-grams": "9"}
    form = filled(HouseRules.objects.get(school=school), **rows)
    (said,) = form.errors["button_g_by_diameter-1-to"]
    assert "the row before is [50\u202fmm, 10\u202fdwt]" in said


def test_a_table_lacks_no_half_of_a_row(rules):
    form = filled(rules, **{"button_g_by_diameter-0-to": "50"})
    assert form.errors == {"button_g_by_diameter-0-grams": ["Nothing is entered here. Fill it in."]}
