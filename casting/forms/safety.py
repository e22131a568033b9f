"""The form of the safety record: what a teacher answers about the school's room, people and kit."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from casting.calc.cautions.school_record import FACTS, under_headings
from casting.forms.counts import whole_number
from casting.models import SafetyRecord
from casting.models.safety import FACT_NAMES, PLACE_NAMES

if TYPE_CHECKING:
    ModelForm = forms.ModelForm[SafetyRecord]
else:
    ModelForm = forms.ModelForm

NOT_A_COUNT = {
    "invalid": _("That is not a whole number. Write digits, like 2, or leave it empty if it is not recorded."),
    "min_value": _("%(value)s is below 0. Write a whole number, or leave it empty if it is not recorded."),
    "max_value": _("%(value)s is too many: %(limit_value)s is the most. Check for an extra digit."),
}


class YesNo(forms.NullBooleanSelect):
    """Yes, no or not recorded."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.choices = (("unknown", _("not recorded")), ("true", _("yes")), ("false", _("no")))


NOT_A_READING = {
    "invalid": _("That is not a number. Write what the dial shows, like 24.5. Leave it empty if it is not recorded."),
    "min_value": _("%(value)s is not above 0. Write what the dial shows without a sign, or leave it empty."),
}


class DialField(forms.FloatField):
    """A number read from a dial, with a comma or a point."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def to_python(self, value: Any) -> Any:
        """Read a comma as a point."""
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class SafetyForm(ModelForm):
    """The record of a school; what is left open stays "not recorded"."""

    class Meta:
        model = SafetyRecord
        fields = (*FACT_NAMES, *PLACE_NAMES)
        field_classes = {"pump_best": DialField}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.NullBooleanField):
                field.widget = YesNo()
            elif isinstance(field, DialField):
                field.error_messages |= NOT_A_READING
            elif isinstance(field, forms.IntegerField):
                field.widget = whole_number()
                field.error_messages |= NOT_A_COUNT
        for fact in FACTS.values():
            if fact.choices:
                self.fields[fact.name] = forms.TypedChoiceField(
                    label=self.fields[fact.name].label,
                    required=False,
                    empty_value=None,
                    choices=[("", _("not recorded")), *((key, _(words)) for key, words in fact.choices)],
                )

    def answers(self) -> dict[str, Any]:
        """Return the answers that were sent: a question that the page did not ask is left alone."""
        asked = self.cleaned_data.items()
        return {
            name: said
            for name, said in asked
            if not self[name].field.widget.value_omitted_from_data(self.data, self.files, name)
        }

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The questions under their headings, the places last."""
        groups = [(_(heading), names) for heading, names in under_headings(FACTS.values()).items()]
        groups.append((_("Where things are, as printed on the handout"), PLACE_NAMES))
        return [(heading, [self[name] for name in names]) for heading, names in groups]
