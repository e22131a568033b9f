"""Fields of a wax: weights and sizes as they are typed, and choices that are all seen at once."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from casting.units import Length, NotUnderstood, read_number

LONGEST_MM = 400

DECIMAL = {"inputmode": "decimal", "autocomplete": "off", "maxlength": "20", "size": "5"}


class NumberField(forms.CharField):
    """A number as typed; it is read with its unit when the form knows that."""

    def __init__(self, missing: Any = "", **kwargs: Any) -> None:
        errors = {"required": missing}
        super().__init__(widget=forms.TextInput(attrs=DECIMAL), error_messages=errors, strip=False, **kwargs)


class LengthField(NumberField):
    """A size in mm; None if it is left empty and may be."""

    def clean(self, value: Any) -> Decimal | None:
        typed = super().clean(value)
        if not typed.strip() and not self.required:
            return None
        try:
            length_mm = read_number(typed, Length.MILLIMETRE)
        except NotUnderstood as wrong:
            raise ValidationError(wrong.sentence) from wrong
        if not 0 < length_mm <= LONGEST_MM:
            raise ValidationError(
                _("%(entered)s mm is not possible: a wax measures more than 0 and at most 400 mm. Measure it again."),
                params={"entered": typed.strip()},
            )
        return length_mm


class Choices(forms.RadioSelect):
    """All choices seen at once; the error summary links to the whole of them."""

    def id_for_label(self, id_: str, index: Any = None) -> str:
        """The id of one choice, or of the fieldset around them."""
        return id_ if index is None else super().id_for_label(id_, index)


def row_choice(label: Any, missing: Any) -> forms.ModelChoiceField[Any]:
    """A choice among rows of the shelf, all of them seen at once."""
    errors = {"required": missing, "invalid_choice": missing}
    return forms.ModelChoiceField(queryset=None, label=label, widget=Choices, empty_label=None, error_messages=errors)
