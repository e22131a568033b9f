"""Every column of every thing on the shelf has its boxes, in the school's units."""

from dataclasses import fields

import pytest

from casting.calc.values import day_input
from casting.forms.shelf.describe import columns_for, number_box
from casting.forms.shelf.form import ThingForm
from casting.presenters.formats import SchoolUnits
from casting.presenters.shelf_page import KINDS

KEPT_OTHERWISE = {"school", "id", "key", "offered", "place", "sources", "version"}
"""Columns of every row that its list, its address or its sources show."""
OF_THE_DAY = {
    "metals": day_input.Alloy,
    "flasks": day_input.FlaskSize,
    "kilns": day_input.Kiln,
    "firings": day_input.Firing,
    "powders": day_input.Investment,
    "waxes": day_input.Pattern,
}
NOT_TYPED = {"key", "gravity_of_parts", "melt_j_per_g", "from_memory"}


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_column_has_a_box_on_its_page(kind, school):
    form = ThingForm(None, row=kind.model(school=school))
    boxed = {name.partition("-")[0] for name in form.fields}
    assert boxed == {field.name for field in kind.model._meta.fields} - KEPT_OTHERWISE
    assert boxed >= {field.name for field in fields(OF_THE_DAY[kind.slug])} - NOT_TYPED
    assert all(field.label for field in form.fields.values())


def test_no_label_names_a_unit(school):
    for kind in KINDS.values():
        for column in columns_for(kind.model, school):
            assert not str(column.label).endswith((", mm", ", C", ", min", ", %")), column.label


def test_a_number_is_in_the_unit_that_its_name_ends_in():
    assert [number_box(unit, SchoolUnits()).after for unit in ("mm", "c", "c_per_h", "pct", "min", "ml", "")] == [
        "mm", "°C", "°C/h", "%", "min", "ml", "",
    ]  # fmt: skip
