"""The rubber base under a wax: by its number again, by its weight, and a list of many."""

from decimal import Decimal

import pytest
from django import forms

from casting.forms.base_fields import by_number, in_unit
from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import typed_of
from casting.models import RubberBase
from casting.units import Mass
from tests.casting_factories import handed_in

BASES = [RubberBase(number=number, weight_g=Decimal(weight)) for number, weight in (("3", "17.4"), ("7", "12.4414"))]
SAME = [*BASES, RubberBase(number="8", weight_g=Decimal("17.4"))]


@pytest.mark.parametrize(
    ("base", "unit", "bases", "kept"),
    [
        ("17.4", "g", BASES, {"on_base": "number-3", "base": ""}),
        ("17,40", "g", BASES, {"on_base": "number-3", "base": ""}),
        ("17.41", "g", BASES, {}),
        ("17.4", "g", SAME, {}),
        ("17.4", "g", [], {}),
        # 8 dwt of 1.55517384 g; the page begins in g, where 8 would be 8 g
        ("8", "dwt", BASES, {"on_base": "number-7", "base": ""}),
        ("9", "dwt", BASES, {"base": ""}),
    ],
)
def test_a_base_that_was_chosen_by_its_number_is_so_again(base, unit, bases, kept):
    initial = {"on_base": "yes", "base": base, "base_unit": unit}
    assert by_number(initial, bases, Mass.GRAM) == kept


def test_a_base_stays_as_it_was_typed_where_the_page_has_its_unit():
    assert by_number({"on_base": "yes", "base": "9", "base_unit": "dwt", "unit": "dwt"}, BASES, Mass.GRAM) == {}
    assert by_number({"on_base": "no", "base": "", "base_unit": "g"}, BASES, Mass.GRAM) == {}
    assert by_number({"on_base": "number-3"}, BASES, Mass.GRAM) == {}


def test_a_weight_is_written_in_the_unit_of_the_scale():
    assert in_unit(Decimal("12.4414"), Mass.PENNYWEIGHT) == 8


def test_a_wax_that_is_changed_stands_on_its_own_base(day):
    RubberBase.objects.create(school=day.course.school, number="7", weight_g="12.4")
    form = WaxForm(initial=typed_of(handed_in(day, base_entered="12.4")), day=day)
    assert (form["on_base"].value(), form["base"].value()) == ("number-7", "")


@pytest.mark.parametrize(("count", "widget"), [(6, forms.RadioSelect), (7, forms.Select)])
def test_many_numbered_bases_are_a_list(day, count, widget):
    school = day.course.school
    RubberBase.objects.bulk_create(RubberBase(school=school, number=str(nth), weight_g=12) for nth in range(count))
    form = WaxForm(day=day)
    assert form.fields["on_base"].widget.attrs["data-missing"]
    assert isinstance(form.fields["on_base"].widget, widget) and form.bases_listed == (widget is forms.Select)
    values = [value for value, _label in form.fields["on_base"].choices]
    assert values[-1] == "yes" and len(values) == count + 2 + (widget is forms.Select)
