"""Boxes of the metal account: a weight read off the school's scale, and an amount of money."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from casting.models.account import SMALLEST
from casting.units import Count, Mass, NotUnderstood, grams, read_number

BOX = {"inputmode": "decimal", "autocomplete": "off", "maxlength": "20", "size": "7"}
MOST_MONEY = Decimal(1_000_000)


class WeightField(forms.CharField):
    """A weight as typed on the school's scale, kept in g; None if the box is empty and may be."""

    def __init__(self, unit: Mass, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(widget=forms.TextInput(attrs=BOX | {"class": "weigh"}), strip=False, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        """Return the weight [g] to a tenth of a milligram; a sentence if it is none."""
        typed = super().clean(value).strip()
        if not typed:
            return None
        try:
            return grams(read_number(typed, self.unit), self.unit).quantize(SMALLEST)
        except NotUnderstood as wrong:
            raise ValidationError(wrong.sentence) from wrong


class MoneyField(forms.CharField):
    """An amount of money as typed, without a currency; None if the box is empty and may be."""

    def __init__(self, places: int = 2, **kwargs: Any) -> None:
        self.places = places
        super().__init__(widget=forms.TextInput(attrs=BOX), strip=False, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        """Return the amount; a sentence if it is none, or of more places than there are coins."""
        typed = super().clean(value).strip()
        if not typed:
            return None
        try:
            amount = read_number(typed, Count.PLAIN)
        except NotUnderstood as wrong:
            raise ValidationError(wrong.sentence) from wrong
        if amount != amount.quantize(Decimal(1).scaleb(-self.places)) or amount > MOST_MONEY:
            sentence = gettext(
                "“%(entered)s” is no price: at most %(places)d places and up to a million. Write it again."
            )
            raise ValidationError(sentence % {"entered": typed, "places": self.places})
        return amount


class OnceForm(forms.Form):
    """A form that books once, however often it is sent: its key is made with the page."""

    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=40)
    note = forms.CharField(required=False, max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["note"].label = gettext("Note")

    @property
    def once(self) -> dict[str, Any]:
        """What every booking of such a form is given: key, what was seen, note."""
        return {name: self.cleaned_data.get(name) for name in ("key", "seen", "note")}
