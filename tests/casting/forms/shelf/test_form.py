"""The form of a thing: what it keeps, what it refuses and where, in the school's units."""

import pytest

from casting.forms.shelf.form import ThingForm
from casting.models import Alloy, FlaskSize
from casting.presenters.shelf_page import KINDS
from casting.services.stock import stock_school

OTHER_UNITS = {"temperature_unit": "F", "weight_unit": "dwt"}


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
