"""The form of a piece that is cast again: on which day, and who pays for the first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from casting.models import CastingDay, Recast


class RecastForm(forms.Form):
    """The next casting day and who pays; both may be left open."""

    next_day = forms.TypedChoiceField(
        required=False,
        empty_value=None,
        error_messages={"invalid_choice": _("The day chosen takes no waxes of its student. Choose one of the list.")},
    )
    pays = forms.ChoiceField(
        required=False,
        choices=[("", ""), *Recast.Pays.choices],
        error_messages={"invalid_choice": _("Choose who pays for the first casting, or leave it open.")},
    )

    def __init__(self, *args: Any, days: Sequence[CastingDay], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field, by_key = self.fields["next_day"], {str(day.pk): day for day in days}
        assert isinstance(field, forms.TypedChoiceField)
        field.choices, field.coerce = [("", ""), *((key, key) for key in by_key)], by_key.__getitem__

    @property
    def first_error(self) -> str:
        """The first thing that is wrong, in a sentence."""
        return str(next(iter(self.errors.values()))[0])
