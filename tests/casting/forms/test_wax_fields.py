"""Weights, sizes and choices of a wax's form."""

import pytest
from django import forms

from casting.forms.wax_fields import Choices, LengthField, NumberField, row_choice


@pytest.mark.parametrize("typed", ["0", "400.1", "x", "1.234,5"])
def test_a_size_that_no_wax_has_is_refused(typed):
    with pytest.raises(forms.ValidationError):
        LengthField().clean(typed)


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
