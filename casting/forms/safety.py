"""What a teacher records of the school's room, people and kit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from casting.forms.counts import whole_number
from casting.models import SafetyRecord
from casting.models.safety import FACT_NAMES, FUELS, MELTERS, PLACE_NAMES

if TYPE_CHECKING:
    ModelForm = forms.ModelForm[SafetyRecord]
else:
    ModelForm = forms.ModelForm

GROUPS = (
    (_("Air, kiln and alarm"), 0, 10),
    (_("Melting"), 10, 14),
    (_("Help"), 14, 19),
    (_("What is used"), 19, 28),
    (_("People"), 28, 33),
)
"""Headings, each over a run of the facts."""

NOT_A_COUNT = {
    "invalid": _("That is not a whole number. Write digits, like 2, or nothing if it is not recorded."),
    "min_value": _("%(value)s is less than nothing. Write a whole number from 0, or nothing if it is not recorded."),
    "max_value": _("%(value)s is too many: %(limit_value)s is the most. Look for a slipped digit."),
}


class YesNo(forms.NullBooleanSelect):
    """Yes, no, or nobody has said."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.choices = (("unknown", _("not recorded")), ("true", _("yes")), ("false", _("no")))


class SafetyForm(ModelForm):
    """The record of a school; nothing chosen stays not recorded."""

    class Meta:
        model = SafetyRecord
        fields = (*FACT_NAMES, *PLACE_NAMES)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.NullBooleanField):
                field.widget = YesNo()
            elif isinstance(field, forms.IntegerField):
                field.widget = whole_number()
                field.error_messages |= NOT_A_COUNT
        for name, choices in (("melter", MELTERS), ("fuel", FUELS)):
            self.fields[name] = forms.TypedChoiceField(
                label=self.fields[name].label,
                required=False,
                empty_value=None,
                choices=[("", _("not recorded")), *choices],
            )

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The questions under their headings, the places last."""
        grouped = [(heading, [self[name] for name in FACT_NAMES[start:stop]]) for heading, start, stop in GROUPS]
        return [*grouped, (_("Where things are, as it stands on the handout"), [self[name] for name in PLACE_NAMES])]
