"""The form of a thing: what it keeps, what it refuses and where, in the school's units."""

import pytest

from casting.forms.shelf.boxes import ChoiceBox, NumberBox, WholeBox, YesNoBox
from casting.forms.shelf.columns import Bands, Kinds, Rows
from casting.forms.shelf.form import ThingForm, box_name
from casting.models import Alloy, FlaskSize
from casting.presenters.shelf_page import KINDS
from casting.services.stock import stock_school

OTHER_UNITS = {"temperature_unit": "F", "weight_unit": "dwt", "length_unit": "in"}


@pytest.fixture
def stocked(school):
    stock_school(school)
    return school


def typed(row, **changed):
    """The boxes of a row as its page shows them, with changes."""
    return ThingForm(None, row=row).stored | changed


def filled(row, **changed):
    return ThingForm(typed(row, **changed), row=row)


@pytest.mark.parametrize("units", [{}, OTHER_UNITS], ids=["metric", "inches"])
def test_saved_unchanged_nothing_changes(stocked, units):
    for name, value in units.items():
        setattr(stocked, name, value)
    stocked.save()
    for kind in KINDS.values():
        rows = kind.model.objects.filter(school=stocked)
        assert rows
        for row in rows:
            form = filled(row)
            assert form.is_valid(), (row, form.errors)
            assert not form.changes_anything, row
            assert form.changed_row.to_day() == row.to_day()


def test_a_degree_typed_in_fahrenheit_comes_back_as_it_was_typed(stocked):
    stocked.temperature_unit = "F"
    stocked.save()
    sterling = Alloy.objects.get(school=stocked, key="sterling")
    form = filled(sterling, pour_c="1790")
    assert form.is_valid() and form.changes_anything
    # (1790 - 32) / 1.8 = 976.67 C
    assert form.changed_row.pour_c == pytest.approx(976.6667, abs=1e-4)
    assert ThingForm(None, row=form.changed_row).stored["pour_c"] == "1790"
    assert form.changed_row.liquidus_c == sterling.liquidus_c


def test_all_mistakes_are_told_together_each_at_its_box(stocked):
    size = FlaskSize.objects.filter(school=stocked).first()
    form = filled(size, name=" ", diameter_mm="-3", height_mm="1200", count="five", mount="shrub")
    assert not form.is_valid()
    assert set(form.errors) == {"name", "diameter_mm", "height_mm", "count", "mount"}


def test_an_empty_box_that_must_not_be_is_told(stocked):
    size = FlaskSize.objects.filter(school=stocked).first()
    assert filled(size, count="").errors == {"count": ["Nothing is entered here. Fill it in."]}
    assert filled(size, outside_mm="").is_valid()


def test_a_mistake_in_a_table_stands_in_its_row(stocked):
    sterling = Alloy.objects.get(school=stocked, key="sterling")
    form = filled(sterling, **{"quench_min_by_diameter-1-minutes": "1"})
    assert list(form.errors) == ["quench_min_by_diameter-1-to"]
    form = filled(sterling, **{"composition_pct-1-sign": "Pb"})
    assert list(form.errors) == ["composition_pct-1-share"]


def test_a_name_that_is_too_long_is_refused(stocked):
    size = FlaskSize.objects.filter(school=stocked).first()
    assert "81 letters" in filled(size, name="x" * 81).errors["name"][0]
    assert "printed" in filled(size, name="a\x07b").errors["name"][0]


def test_an_unbound_form_shows_what_is_typed(stocked):
    size = FlaskSize.objects.filter(school=stocked).first()
    form = ThingForm(None, row=size, typed=typed(size, count="many"))
    assert form["count"].value() == "many" and not form.errors


KEYS = {
    "metals": "sterling",
    "flasks": "51x64",
    "kilns": "k1",
    "firings": "6h",
    "powders": "gypsum",
    "waxes": "carving-wax",
}
"""A row of the shelf's file for each kind."""


def wrong_in(box):
    """Texts that no box of that kind takes."""
    if isinstance(box, NumberBox):
        return ["-1", "abc", "9999999", "1.2.3", "12 lb", "1 2"]
    if isinstance(box, WholeBox):
        return ["-1", "1.5", "five", "20000"]
    return ["shrub"] if isinstance(box, ChoiceBox | YesNoBox) else []


def wrong_values(school):
    """Every box of a row of each kind with each text that is wrong there."""
    for slug, key in KEYS.items():
        row = KINDS[slug].model.objects.get(school=school, key=key)
        form = ThingForm(None, row=row)
        for column in form.columns:
            for part, text in column.texts(getattr(row, column.name)).items():
                empty = [""] if text and not column.nullable and not isinstance(column, Kinds | Rows | Bands) else []
                for wrong in [*wrong_in(column.box_of(part)), *empty]:
                    yield row, box_name(column, part), wrong


@pytest.mark.parametrize("units", [{}, OTHER_UNITS], ids=["metric", "inches"])
def test_every_wrong_value_is_refused_at_its_box_in_the_school_s_units(stocked, units):
    for name, value in units.items():
        setattr(stocked, name, value)
    stocked.save()
    other = (" mm", "\u202fmm", "°C", " C ") if units else ("\u202fin", "°F", "inches")
    tried = list(wrong_values(stocked))
    assert len(tried) > 250
    for row, box, wrong in tried:
        row.school = stocked
        form = filled(row, **{box: wrong})
        assert box in form.errors, (row, box, wrong, form.errors)
        told = " ".join(form.errors[box])
        assert not any(unit in told for unit in other), told
        assert "stands here" not in told and '"' not in told and "[" not in told, told


def test_two_gaps_and_a_fault_in_one_table_are_told_together(stocked):
    firing = KINDS["firings"].model.objects.get(school=stocked, key="6h")
    form = filled(firing, **{"segments-0-hold_min": "", "segments-1-to_c": "", "segments-2-ramp_c_per_h": "0"})
    assert set(form.errors) == {"segments-0-hold_min", "segments-1-to_c", "segments-2-ramp_c_per_h"}


def test_an_element_is_known_by_its_name_and_entered_once(stocked):
    sterling = Alloy.objects.get(school=stocked, key="sterling")
    form = filled(sterling, **{"composition_pct-0-sign": "silver", "composition_pct-1-sign": "cu"})
    assert form.is_valid() and form.entry()["composition_pct"] == {"Ag": 92.5, "Cu": 7.5}
    form = filled(sterling, **{"composition_pct-2-sign": "Ag", "composition_pct-2-share": "0.1"})
    assert form.errors == {"composition_pct-2-sign": ["Ag is entered twice. Write one row for it."]}
    form = filled(sterling, **{"composition_pct-0-sign": ""})
    assert list(form.errors) == ["composition_pct-0-sign"]


def test_what_is_half_typed_is_read_as_far_as_it_goes(stocked):
    sterling = Alloy.objects.get(school=stocked, key="sterling")
    form = ThingForm(None, row=sterling, typed=typed(sterling, **{"composition_pct-1-share": "7,"}, pour_c="x"))
    assert form.readable("composition_pct") == {"Ag": 92.5, "Cu": 7}
    assert form.readable("pour_c") is None


def test_two_that_the_school_works_with_never_have_one_name(stocked):
    bronze = Alloy.objects.get(school=stocked, key="si-bronze")
    assert "called" in filled(bronze, name="sterling SILVER").errors["name"][0]
    Alloy.objects.filter(school=stocked, key="sterling").update(offered=False)
    assert filled(bronze, name="sterling SILVER").is_valid()
