"""Weights, sizes and choices of a wax's form."""

from decimal import Decimal

import pytest
from django import forms

from casting.forms.wax_fields import Choices, LengthField, NumberField, RowChoice, row_choice
from casting.models import Alloy
from casting.presenters.formats import SchoolUnits
from casting.units import Length

MM, INCHES = SchoolUnits(), SchoolUnits(length=Length.INCH)


def inch_field(kept=None):
    field = LengthField("mm", inches=("Width, in", "Write inches."), label="Width, mm")
    field.measure_in(INCHES, kept)
    return field


@pytest.mark.parametrize("typed", ["0", "400.1", "x", "1.234,5"])
def test_a_size_that_no_wax_has_is_refused(typed):
    with pytest.raises(forms.ValidationError):
        LengthField().clean(typed)


@pytest.mark.parametrize("typed", ["1 1/4", "7/8", "1¼"])
def test_a_fraction_of_millimetres_is_asked_whether_it_is_inches(typed):
    with pytest.raises(forms.ValidationError, match="fraction, as used for inches") as refused:
        LengthField().clean(typed)
    assert f"“{typed}”" in refused.value.messages[0]
    # 1.25 x 25.4 mm, by hand.
    assert LengthField().clean("1 1/4 in") == Decimal("31.75")


def test_a_number_keeps_what_was_typed_and_asks_in_its_own_words():
    field = NumberField("Write the weight.")
    assert field.clean(" 4,35 ") == " 4,35 "
    with pytest.raises(forms.ValidationError, match="Write the weight"):
        field.clean("")


def test_an_error_leads_to_the_whole_of_the_choices():
    assert Choices().id_for_label("id_alloy") == "id_alloy"
    assert Choices().id_for_label("id_alloy", "1") != "id_alloy"


def test_a_choice_of_rows_begins_with_none_of_them():
    field = row_choice("Which metal?", "Choose one.")
    assert field.empty_label is None and field.error_messages["invalid_choice"] == "Choose one."


# 1 in is 25.4 mm exactly
@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("0.875", "22.225"),
        ("7/8", "22.225"),
        ("1 1/4", "31.75"),
        ("1¼", "31.75"),
        (".5 in", "12.7"),
        ("15.74", "399.796"),
        ("22 mm", "22"),
    ],
)
def test_a_size_is_typed_in_inches_with_a_decimal_or_a_fraction(typed, mm):
    assert inch_field().clean(typed) == Decimal(mm)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("16", "16 in is not possible: a wax measures more than 0 and at most 15.74 in."),
        ("0", "0 in is not possible"),
        ("22 cm", "is not in inches, but this field is. Write the number in inches."),
        ("-1", "below zero"),
        ("", "Write inches."),
    ],
)
def test_a_size_is_refused_in_inches(typed, said):
    with pytest.raises(forms.ValidationError) as refused:
        inch_field().clean(typed)
    assert said in refused.value.messages[0] and "mm is not possible" not in refused.value.messages[0]


def test_a_size_that_is_kept_and_left_alone_stays_to_the_hundredth_of_a_millimetre():
    field = inch_field("22.01")
    # 22.01 / 25.4 = 0.86653..., and 0.867 in would be 22.022 mm
    assert field.clean("0.867") == Decimal("22.01") and field.clean("0.868") == Decimal("22.047")
    plain = LengthField("mm", inches=("Width, in", "Write inches."))
    assert plain.measure_in(MM, "22.01") == "22.01" and plain.clean("22.02") == Decimal("22.02")


def test_a_choice_among_rows_that_are_read_asks_for_none():
    field = RowChoice(empty_label="none", required=False)
    rows = [Alloy(pk=3, name="Sterling"), Alloy(pk=14, name="Bronze")]
    field.offer(rows)
    assert [(str(key), label) for key, label in field.choices] == [("", "none"), ("3", "Sterling"), ("14", "Bronze")]
    assert field.clean("14") is rows[1] and field.clean("") is None
    for forged in ("1", "x", "3 ", "²"):
        with pytest.raises(forms.ValidationError):
            field.clean(forged)
