"""Weights and prices as they are typed."""

import uuid
from decimal import Decimal as D

import pytest
from django.core.exceptions import ValidationError

from casting.forms.account.fields import MoneyField, OnceForm, WeightField
from casting.units import Mass


@pytest.mark.parametrize(
    ("typed", "unit", "grams"),
    [
        ("119,5", Mass.GRAM, "119.5"),
        (" 27.00 g ", Mass.GRAM, "27"),
        ("10", Mass.PENNYWEIGHT, "15.5517"),  # a pennyweight is 1.55517384 g
        ("", Mass.GRAM, None),
    ],
)
def test_a_weight_is_kept_in_grams(typed, unit, grams):
    assert WeightField(unit, required=False).clean(typed) == (grams and D(grams))


@pytest.mark.parametrize("typed", ["-3", "1.234,5", "twelve", "3 dwt"])
def test_what_is_no_weight_is_said(typed):
    with pytest.raises(ValidationError, match=typed.replace(".", r"\.")):
        WeightField(Mass.GRAM).clean(typed)


@pytest.mark.parametrize(("typed", "amount"), [("340,50", "340.50"), ("0", "0"), ("", None)])
def test_money_is_read_to_the_cent(typed, amount):
    assert MoneyField(required=False).clean(typed) == (amount and D(amount))


@pytest.mark.parametrize("typed", ["1.605", "1000001", "-3", "3 USD"])
def test_what_is_no_price_is_said(typed):
    with pytest.raises(ValidationError, match="“"):
        MoneyField().clean(typed)
    assert MoneyField(places=4).clean("1.605") == D("1.605")


def test_a_form_is_made_with_its_own_key():
    one, other = (OnceForm()["key"].value() for _nth in range(2))
    assert one != other
    form = OnceForm({"key": str(one), "note": "a note", "seen": "x"})
    assert form.is_valid() and form.once == {"key": uuid.UUID(str(one)), "note": "a note", "seen": "x"}
    assert not OnceForm({"key": "no key"}).is_valid()
