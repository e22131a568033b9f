"""The teacher's form of a wax, and the list of rubber bases as it is typed."""

from decimal import Decimal

import pytest

from casting.forms.weigh_in import BasesForm, CorrectForm, WeighInForm, typed_bases
from casting.models import RubberBase
from casting.units import Mass
from tests.casting_factories import typed
from tests.factories import StudentFactory


def test_whose_wax_it_is_must_be_said_and_be_of_the_class(day, student):
    other = StudentFactory(course__school=day.course.school)
    for whose in ("", str(other.pk), "x"):
        form = WeighInForm(typed(day, student=whose), day=day)
        assert form.errors["student"] == ["Choose whose wax it is."]
    form = WeighInForm(typed(day, student=str(student.pk)), day=day)
    assert form.is_valid() and form.cleaned_data["student"] == student
    assert CorrectForm(typed(day), day=day).is_valid()


@pytest.mark.parametrize("name", ["pattern", "alloy", "on_base", "section"])
def test_nothing_is_chosen_for_the_teacher(day, name):
    form = WeighInForm(day=day)
    assert next(iter(form.fields[name].widget.choices))[0] == ""
    assert form[name].value() in (None, "")
    assert name in WeighInForm(typed(day, student="1", **{name: ""}), day=day).errors


@pytest.mark.parametrize(
    ("unit", "whole", "wax_g", "entered"),
    [
        ("g", "15.6", Decimal("3.2"), "12.4"),
        # 10 dwt are 15.5517 g (20 dwt to the troy ounce of 31.1034768 g); 12.4 g are 7.9734 dwt
        ("dwt", "10", Decimal("3.1517"), "7.9734"),
    ],
)
def test_a_numbered_base_is_taken_off(day, student, unit, whole, wax_g, entered):
    RubberBase.objects.create(school=day.course.school, number="7", weight_g="12.4")
    form = WeighInForm(typed(day, student=str(student.pk), on_base="number-7", weight=whole, unit=unit), day=day)
    assert form.is_valid(), form.errors
    entry = form.entry()
    assert (entry.wax_g, entry.base_entered) == (wax_g, entered)


def test_a_numbered_base_is_not_weighed_again_and_an_unknown_one_is_refused(day, student):
    RubberBase.objects.create(school=day.course.school, number="7", weight_g="12.4")
    both = WeighInForm(typed(day, student=str(student.pk), on_base="number-7", weight="15.6", base="12"), day=day)
    assert both.errors["base"] == ["Base 7 is weighed already. Clear this, or say that it is another base."]
    assert "on_base" in WeighInForm(typed(day, student=str(student.pk), on_base="number-8"), day=day).errors
    light = WeighInForm(typed(day, student=str(student.pk), on_base="number-7", weight="12.4"), day=day)
    assert light.errors["weight"] == [
        "12.4 g with the base, and the base alone weighs as much or more. Weigh both again."
    ]


def test_bases_are_read_line_by_line_and_read_back(school):
    form = BasesForm({"bases": "7 12,40\n\n  12a 11.9 g \n"}, unit=Mass.GRAM)
    assert form.is_valid() and form.cleaned_data["bases"] == {"7": Decimal("12.4"), "12a": Decimal("11.9")}
    rows = [RubberBase(number=number, weight_g=weight) for number, weight in form.cleaned_data["bases"].items()]
    assert typed_bases(rows, Mass.GRAM) == "7 12.4\n12a 11.9"
    # 1 dwt is 1.55517384 g
    form = BasesForm({"bases": "7 8"}, unit=Mass.PENNYWEIGHT)
    assert form.is_valid() and form.cleaned_data["bases"] == {"7": Decimal("12.4414")}
    assert typed_bases([RubberBase(number="7", weight_g=Decimal("12.4414"))], Mass.PENNYWEIGHT) == "7 8"


def test_every_wrong_line_is_told_at_once():
    lines = "7\nno-7 3\n7 heavy\n8 0\n8 501\n9 12\n9 13\n1234567 3"
    form = BasesForm({"bases": lines}, unit=Mass.GRAM)
    assert [error[:8] for error in form.errors["bases"]] == [f"Line {nth}: " for nth in (1, 2, 3, 4, 5, 7, 8)]
    assert form.errors["bases"][0] == "Line 1: “7” has no weight. Write a number and a weight, like 7 12.40."
    assert form.errors["bases"][5] == "Line 7: Base 9 stands there twice. Leave one out."


def test_more_bases_than_a_school_has_are_refused():
    form = BasesForm({"bases": "\n".join(f"{nth} 12" for nth in range(201))}, unit=Mass.GRAM)
    assert form.errors["bases"] == ["201 bases are entered, and 200 are the most. Leave some out."]
