"""The forms of the weigh-in page: a wax that the teacher enters for a student, and the school's numbered bases."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.base_fields import HEAVIEST_G
from casting.forms.hand_in import WaxForm
from casting.forms.wax_fields import RowChoice
from casting.models import RubberBase
from casting.presenters import formats
from casting.units import Mass, NotUnderstood, grams, read_number
from school.models import Student

MOST_BASES = 200
LONGEST_NUMBER = 6


SHORT = {
    "weight": _("Weight"),
    "on_base": _("On a rubber base?"),
    "base": _("Base alone"),
    "alloy": _("Metal"),
    "pattern": _("Material"),
    "own_metal": _("the student's own metal"),
    "section": _("Thinnest part"),
    "thickest_mm": _("Thickest, mm"),
    "thick_parts": _("Thick parts"),
    "what": _("What it is"),
    "note": _("Note"),
    "second_alloy": _("Second-choice metal"),
}
"""What the fields of the students' form are called here, where one line holds several."""


class WeighInForm(WaxForm):
    """A wax as the teacher enters it at the bench; each choice is a list, so that the row stays short."""

    enter = ""
    student = RowChoice(
        label=_("Student"),
        empty_label=_("choose"),
        error_messages={"required": _("Choose whose wax it is."), "invalid_choice": _("Choose whose wax it is.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["thinnest_mm"]  # the list of sections is as short
        for name, label in SHORT.items():
            self.fields[name].label, self.fields[name].help_text = label, ""
        if self.units.inches:
            self.fields["thickest_mm"].label = _("Thickest, in")
        self._choose("student", list(Student.objects.here().filter(course=self.day.course).order_by("called", "pk")))
        for name in ("pattern", "alloy"):
            field = self.fields[name]
            assert isinstance(field, RowChoice)
            field.empty_label = gettext("choose")
            field.widget = forms.Select()
            field.offer(field.rows)
        for name in ("on_base", "section", "stones"):
            choice = self.fields[name]
            assert isinstance(choice, forms.ChoiceField)
            listed = list(cast(Iterable[Any], choice.choices))
            choice.widget = forms.Select()
            begun = choice.initial is not None or listed[0][0] == ""
            choice.choices = listed if begun else [("", gettext("choose")), *listed]


class CorrectForm(WeighInForm):
    """Other figures for a wax that is there; it stays its student's."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["student"]


class BasesForm(forms.Form):
    """The school's rubber bases: a number and its weight to a line, in the unit of the school's scale."""

    bases = forms.CharField(
        label=_("Number and weight"),
        help_text=_("One to a line: the number written on it, a space, what it weighs alone. Like: 7 12.40"),
        required=False,
        widget=forms.Textarea(attrs={"rows": "8", "cols": "20", "autocomplete": "off", "spellcheck": "false"}),
    )

    def __init__(self, *args: Any, unit: Mass, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(*args, **kwargs)

    def clean_bases(self) -> dict[str, Decimal]:
        """The weight in g of each base by its number; every line that is wrong is told, by its number."""
        found: dict[str, Decimal] = {}
        wrong = []
        for nth, line in enumerate(self.cleaned_data["bases"].splitlines(), start=1):
            if not line.strip():
                continue
            try:
                number, weight_g = self._read(line, found)
            except (ValidationError, NotUnderstood) as refusal:
                why = refusal.sentence if isinstance(refusal, NotUnderstood) else refusal.messages[0]
                wrong.append(gettext("Line %(nth)d: %(why)s") % {"nth": nth, "why": why})
            else:
                found[number] = weight_g
        if len(found) > MOST_BASES:
            sentence = gettext("%(count)d bases are entered, and %(most)d are the most. Leave some out.")
            wrong.append(sentence % {"count": len(found), "most": MOST_BASES})
        if wrong:
            raise ValidationError(wrong)
        return found

    def _read(self, line: str, found: dict[str, Decimal]) -> tuple[str, Decimal]:
        number, _space, typed = line.strip().partition(" ")
        shown = {"entered": line.strip(), "number": number}
        if not typed.strip():
            raise ValidationError(
                gettext("“%(entered)s” has no weight. Write a number and a weight, like 7 12.40."), params=shown
            )
        if not number.isalnum() or len(number) > LONGEST_NUMBER:
            raise ValidationError(
                gettext("“%(number)s” is no number of a base. Use up to 6 digits or letters."), params=shown
            )
        if number in found:
            raise ValidationError(gettext("Base %(number)s stands there twice. Leave one out."), params=shown)
        weight_g = grams(read_number(typed, self.unit), self.unit).quantize(Decimal("0.0001"))
        if not 0 < weight_g <= HEAVIEST_G:
            raise ValidationError(
                gettext("“%(entered)s”: a base weighs more than 0 and at most 500 g. Weigh it again."), params=shown
            )
        return number, weight_g


def typed_bases(bases: Iterable[RubberBase], unit: Mass) -> str:
    """The lines of the form for bases that are kept."""
    one = grams(Decimal(1), unit)
    return "\n".join(
        f"{base.number} {formats.plain((base.weight_g / one).quantize(Decimal('0.0001')))}" for base in bases
    )
