"""The form of the school's own page."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from school.forms.fields import ZoneField
from school.models import LengthUnit, Paper, School, TemperatureUnit, WeightUnit, validate_currency
from school.models.school import MAX_ELEVATION_M, MIN_ELEVATION_M
from school.names import tidy_name

FOOT_M = Decimal("0.3048")
METRE, FOOT = "m", "ft"
KEEP_CLOCK, KEEP_INSTANT = "clock", "instant"


USUAL = ("opens", "closes", "on_call")
"""What a new casting day begins with."""
CLOCK = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
HOURS = _("A new casting day begins with these hours, or with those of the last day. Each day may have its own.")


def chosen(label: Any, choices: Any, **kwargs: Any) -> forms.ChoiceField:
    """Return a field with a closed list; its browser refuses nothing that we do not."""
    return forms.ChoiceField(label=label, choices=choices, **kwargs)


class SchoolForm(forms.Form):
    """A school's name, place and units."""

    name = forms.CharField(
        label=_("Name of the school"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "organization", "dir": "auto"}),
        error_messages={"required": _("Give the school its name.")},
    )
    town = forms.CharField(
        label=_("Town"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"dir": "auto"}),
        help_text=_("It stands on posters. You may leave it empty."),
    )
    zone = ZoneField()
    elevation = forms.DecimalField(
        label=_("Height above the sea"),
        required=False,
        max_digits=9,
        localize=True,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        help_text=_(
            "The vacuum gauge and boiling water follow from it. Empty is unknown, not sea level: then plans say so."
        ),
        error_messages={"invalid": _("Write the height as a number, such as 1609; or leave it empty.")},
    )
    elevation_unit = chosen(_("Its unit"), [(METRE, _("metres")), (FOOT, _("feet"))])
    weight_unit = chosen(_("Weights in"), WeightUnit.choices)
    temperature_unit = chosen(_("Temperatures in"), TemperatureUnit.choices)
    length_unit = chosen(_("Lengths and flasks in"), LengthUnit.choices)
    paper = chosen(_("Paper in the printer"), Paper.choices)
    currency = forms.CharField(
        label=_("Prices in"),
        max_length=3,
        required=False,
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off", "spellcheck": "false"}),
        help_text=_("Three letters, such as USD or EUR. Empty: prices are shown without a currency."),
        error_messages={"max_length": _("Write three letters, such as USD or EUR.")},
    )
    opens = forms.TimeField(label=_("Usually open from"), required=False, widget=CLOCK, help_text=HOURS)
    closes = forms.TimeField(label=_("Usually open until"), required=False, widget=CLOCK)
    on_call = forms.CharField(
        label=_("Usually on call in the kiln night: name and telephone"), max_length=120, required=False
    )
    clock = forms.ChoiceField(
        label=_("What stays as it is for what lies ahead?"),
        choices=[(KEEP_CLOCK, _("the clock time")), (KEEP_INSTANT, _("the moment"))],
        widget=forms.RadioSelect,
        required=False,
    )

    def __init__(self, data: QueryDict | None, *, school: School) -> None:
        super().__init__(data, initial=as_shown(school))
        self.school = school

    def clean_name(self) -> str:
        """Return the name without control characters and needless spaces."""
        return tidy_name(self.cleaned_data["name"])

    def clean_town(self) -> str:
        """Return the town, tidied as a name; nothing stays nothing."""
        return tidy_name(self.cleaned_data["town"]) if self.cleaned_data["town"] else ""

    def clean_currency(self) -> str:
        """Return the code in capitals; refuse what is none."""
        code: str = self.cleaned_data["currency"].strip().upper()
        if code:
            validate_currency(code)
        return code

    def clean(self) -> None:
        """Refuse a height where no town is, in the unit that it was written in."""
        self._hours()
        height, unit = self.cleaned_data.get("elevation"), self.cleaned_data.get("elevation_unit")
        if height is None or unit is None:
            return
        metres = height * FOOT_M if unit == FOOT else height
        if not MIN_ELEVATION_M <= metres <= MAX_ELEVATION_M:
            least, most = (in_unit(limit, unit) for limit in (MIN_ELEVATION_M, MAX_ELEVATION_M))
            sentence = _("You wrote %(height)s %(unit)s. Towns lie between %(least)s and %(most)s %(unit)s.")
            words = {"height": height, "unit": unit, "least": least, "most": most}
            self.add_error("elevation", forms.ValidationError(sentence, code="height", params=words))

    def _hours(self) -> None:
        """Refuse hours of which one end is missing, and those that run backwards."""
        opens, closes = self.cleaned_data.get("opens"), self.cleaned_data.get("closes")
        if {"opens", "closes"} & set(self.errors):
            return
        if bool(opens) != bool(closes):
            self.add_error("closes", _("Give both, when the studio opens and when it closes, or neither."))
        elif opens and closes and opens >= closes:
            self.add_error("closes", _("The studio must close later than it opens."))

    @property
    def moves_zone(self) -> bool:
        """Whether a valid form asks for another time zone."""
        return bool(self.cleaned_data["zone"] != self.school.zone)

    def columns(self) -> dict[str, Any]:
        """Return the columns to write. A height that was not touched stays to the metre."""
        said = self.cleaned_data
        names = ("name", "town", "zone", "weight_unit", "temperature_unit", "length_unit", "paper", "currency", *USUAL)
        columns = {name: said[name] for name in names}
        if "elevation" in self.changed_data or "elevation_unit" in self.changed_data:
            height = said["elevation"]
            factor = FOOT_M if said["elevation_unit"] == FOOT else 1
            columns["elevation_m"] = None if height is None else round(height * factor)
        return columns


def in_unit(metres: int, unit: str) -> int:
    """Return a height in whole metres or feet."""
    return round(metres / FOOT_M) if unit == FOOT else metres


def as_shown(school: School) -> dict[str, Any]:
    """Return the school as its page shows it: heights go by feet where lengths go by inches."""
    unit = FOOT if school.length_unit == LengthUnit.INCH else METRE
    names = ("name", "town", "zone", "weight_unit", "temperature_unit", "length_unit", "paper", "currency", *USUAL)
    height = "" if school.elevation_m is None else in_unit(school.elevation_m, unit)
    return {name: "" if getattr(school, name) is None else getattr(school, name) for name in names} | {
        "elevation": height,
        "elevation_unit": unit,
    }
