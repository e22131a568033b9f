"""The form of a payment: all that is due of a bill, or the amount in its box."""

from __future__ import annotations

import uuid

from django import forms
from django.utils.translation import gettext_lazy as _

from casting.forms.account.fields import MoneyField


class PaymentForm(forms.Form):
    """A payment, booked once however often it is sent; an empty box is all that is due."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4, required=False)
    amount = MoneyField(label=_("Amount paid"), required=False)


def said_in_one(form: forms.Form) -> str:
    """Return all that is wrong with a form, in one line."""
    return " ".join(str(sentence) for sentences in form.errors.values() for sentence in sentences)
