"""The form for the sheets that flask cards are printed on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.forms.counts import whole_number
from casting.papers.sheets.label_stock import NUDGE_MM, Stock, label_sheets
from casting.units import Length, NotUnderstood, read_number

MINUS, PLUS = ("-", "\N{MINUS SIGN}"), "+"


class MillimetresField(forms.Field):
    """Millimetres in tenths, right or down; a minus before them is left or up. Empty is none."""

    def to_python(self, value: Any) -> float:
        """Return the millimetres; raise `ValidationError` for anything else."""
        entered = str(value or "").strip()
        if not entered:
            return 0.0
        back = entered.startswith(MINUS)
        try:
            number = read_number(entered[1:] if back or entered.startswith(PLUS) else entered, Length.MILLIMETRE)
        except NotUnderstood as wrong:
            sentence = gettext("“%(entered)s” is not a number of millimetres. Write tenths, like 0.5 or -0.5.")
            raise ValidationError(sentence % {"entered": entered[:20]}) from wrong
        if number * 10 % 1:
            sentence = gettext("“%(entered)s” is finer than a printer can do. Write tenths of a millimetre, like 0.5.")
            raise ValidationError(sentence % {"entered": entered})
        return float(-number if back else number)


def nudge(label: Any, hint: Any) -> MillimetresField:
    """Return a field for a nudge; a number keyboard would hide the minus."""
    widget = forms.TextInput(attrs={"autocomplete": "off", "size": 6})
    return MillimetresField(label=label, help_text=hint, widget=widget, required=False)


class SheetForm(forms.Form):
    """Plain paper or labels of the school's paper, how many of the first sheet are gone, and where they lie."""

    stock = forms.ChoiceField(
        label=_("Printed on"),
        required=False,
        error_messages={
            "invalid_choice": _("There is no such sheet for the school's paper. Choose one from the list.")
        },
    )
    used = forms.IntegerField(
        label=_("Labels used already"),
        help_text=_("Of the first sheet, counted along the rows. Plain paper has none."),
        required=False,
        widget=whole_number(),
        error_messages={"invalid": _("That is not a whole number of labels. Count the used ones, like 2.")},
    )
    x = nudge(_("Nudge to the right, in mm"), _("If the print lies too far left. With a minus: to the left."))
    y = nudge(_("Nudge down, in mm"), _("If the print lies too high. With a minus: up."))

    def __init__(self, data: Mapping[str, Any], *, paper: str) -> None:
        self.sheets = {sheet.key: sheet for sheet in label_sheets(paper)}
        super().__init__(data)
        plain = gettext("%(paper)s, plain, cut along its lines") % {"paper": paper}
        field = self.fields["stock"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", plain), *((key, sheet.called) for key, sheet in self.sheets.items())]

    @property
    def sheet(self) -> Stock | None:
        """The sheet of labels that was chosen; None is plain paper."""
        return self.sheets.get(self.cleaned_data["stock"])

    def clean(self) -> dict[str, Any]:
        """Used labels and nudges against the sheet that was chosen; plain paper has neither."""
        found = self.cleaned_data
        sheet = self.sheets.get(found.get("stock", ""))
        if sheet is None:
            return found | {"used": 0, "x": 0.0, "y": 0.0}
        self._used(sheet)
        for name, room in zip(("x", "y"), sheet.nudge_room(), strict=True):
            self._nudge(name, *room)
        return found | {"used": found.get("used") or 0}

    def _used(self, sheet: Stock) -> None:
        """The first sheet has room for one label at least."""
        used = self.cleaned_data.get("used") or 0
        if 0 <= used < sheet.places:
            return
        sentence = gettext("%(used)d labels cannot be used already: this sheet has %(places)d. Write 0 to %(most)d.")
        self.add_error("used", sentence % {"used": used, "places": sheet.places, "most": sheet.places - 1})

    def _nudge(self, name: str, least: float, most: float) -> None:
        """No label may be pushed off the part of the paper that is free for it."""
        moved = self.cleaned_data.get(name)
        if moved is None or least <= moved <= most:
            return
        if abs(moved) > NUDGE_MM:
            sentence = gettext(
                "%(moved)s mm is too far: %(most)s mm is the most. Look first whether it was printed at 100 %%."
            )
            most = NUDGE_MM
        else:
            sentence = gettext(
                "Moved by %(moved)s mm, a label would come off the paper or into its head or foot."
                " On this sheet there is room for %(least)s to %(most)s mm."
            )
        self.add_error(name, sentence % {"moved": f"{moved:g}", "least": f"{least:g}", "most": f"{most:g}"})
