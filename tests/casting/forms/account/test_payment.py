"""A payment as it is typed: an empty box is all that is due."""

from decimal import Decimal as D

from casting.forms.account.payment import PaymentForm, said_in_one


def test_an_amount_is_read_and_an_empty_box_is_none():
    for typed, amount in (("40", D(40)), ("12,50", D("12.50")), ("", None)):
        form = PaymentForm({"amount": typed})
        assert form.is_valid() and form.cleaned_data["amount"] == amount and said_in_one(form) == ""


def test_what_is_no_amount_is_said_in_one_line():
    form = PaymentForm({"amount": "0.005", "key": "no key"})
    assert not form.is_valid() and "at most 2 places" in said_in_one(form)
