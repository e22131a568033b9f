"""Boxes of a page: how one stored figure is written into a box, and how what somebody types there is read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_lazy as _

from casting.dayfile.sources_file import element_rows
from casting.forms.counts import whole_number
from casting.presenters import formats
from casting.presenters.formats import SchoolUnits
from casting.units import (
    Count,
    Length,
    Mass,
    NotUnderstood,
    Temperature,
    celsius,
    grams,
    in_decimals,
    millimetres,
    read_number,
)

YES_NO = ((True, "yes", _("yes")), (False, "no", _("no")), (None, "", _("not recorded")))


@dataclass(frozen=True, slots=True)
class Box:
    """One box for text; `after` stands behind it, as its unit does."""

    after: str = ""

    def shown(self, value: Any) -> str:
        """Return the text for a stored value; none for None."""
        return "" if value is None else str(value)

    def read(self, text: str) -> Any:
        """Return the value of a text that is not empty; `NotUnderstood` if it has none."""
        return text.strip()

    def field(self, label: Any) -> forms.Field:
        """Return the form's field. Nothing is cut or refused here: the row's own reader does that."""
        return forms.CharField(label=label, required=False, strip=False, widget=self.widget())

    def widget(self) -> forms.Widget:
        """Return what the page shows."""
        return forms.TextInput(attrs={"autocomplete": "off", "dir": "auto"})


@dataclass(frozen=True, slots=True)
class SignBox(Box):
    """An element by its sign, or by its name."""

    def read(self, text: str) -> str:
        typed = text.strip()
        by_name = {row["name"].lower(): str(row["symbol"]) for row in element_rows()}
        by_name |= {pgettext("element", row["name"]): str(row["symbol"]) for row in element_rows()}
        return by_name.get(typed.lower(), typed.capitalize())

    def widget(self) -> forms.Widget:
        return forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "words", "size": "6"})


@dataclass(frozen=True, slots=True)
class NumberBox(Box):
    """A number in a unit of the school; `write` makes its text and `store` the figure that is kept."""

    unit: Mass | Length | Temperature | Count = Count.PLAIN
    write: Callable[[float], str] = formats.plain
    store: Callable[[Decimal], Decimal] = field(default=lambda number: number)
    size: str = "6"

    def shown(self, value: Any) -> str:
        return "" if value is None else self.write(value)

    def read(self, text: str) -> float:
        typed = text.replace("°", "").strip().removesuffix("%").strip()
        if typed[:1] in ("-", "\N{MINUS SIGN}", "\N{EN DASH}"):
            sentence = gettext("“%(entered)s” is below zero. Write the number without a sign.")
            raise NotUnderstood(sentence % {"entered": text.strip()}, typed)
        if self.unit is Length.INCH:
            typed = in_decimals(typed)
        figure = float(self.store(read_number(typed, self.unit)))
        # What is whole is kept as it is written.
        return int(figure) if math.isfinite(figure) and figure.is_integer() else figure

    def widget(self) -> forms.Widget:
        return forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": self.size})


@dataclass(frozen=True, slots=True)
class WholeBox(Box):
    """A count."""

    def read(self, text: str) -> int:
        typed = text.strip()
        if not (typed.isascii() and typed.isdigit()):
            sentence = gettext("“%(entered)s” is not a whole number. Write digits, like 2.")
            raise NotUnderstood(sentence % {"entered": typed[:20]}, typed)
        return int(typed[:12])

    def widget(self) -> forms.Widget:
        widget = whole_number()
        widget.attrs["size"] = "6"
        return widget


@dataclass(frozen=True, slots=True)
class ChoiceBox(Box):
    """One word of a closed list."""

    choices: tuple[tuple[str, Any], ...] = ()

    def read(self, text: str) -> str:
        if text not in dict(self.choices):
            raise NotUnderstood(gettext("That is not on the list. Choose one of it."), text)
        return text

    def widget(self) -> forms.Widget:
        return forms.Select(choices=self.choices)


@dataclass(frozen=True, slots=True)
class YesNoBox(Box):
    """Yes, no or not recorded."""

    def shown(self, value: Any) -> str:
        return next(key for one, key, _word in YES_NO if one is value)

    def read(self, text: str) -> bool:
        found = next((one for one, key, _word in YES_NO if key == text), None)
        if found is None:
            raise NotUnderstood(gettext("That is not on the list. Choose one of it."), text)
        return found

    def widget(self) -> forms.Widget:
        return forms.Select(choices=[(key, word) for _one, key, word in reversed(YES_NO)])


class Tick(forms.CheckboxInput):
    """A box to tick that posts text: "on", or nothing."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        return "on" if data.get(name) else ""


@dataclass(frozen=True, slots=True)
class TickBox(Box):
    """A box to tick; an empty text is no."""

    def shown(self, value: Any) -> str:
        return "on" if value else ""

    def read(self, text: str) -> bool:
        return bool(text)

    def widget(self) -> forms.Widget:
        return Tick(check_test=bool)


def length_box(units: SchoolUnits) -> NumberBox:
    """Return a box for a length, stored in mm."""
    unit = Length.INCH if units.inches else Length.MILLIMETRE
    return NumberBox(
        unit.value, unit, lambda mm: formats.length_number(mm, units), lambda number: millimetres(number, unit)
    )


def mass_box(units: SchoolUnits) -> NumberBox:
    """Return a box for a weight, stored in grams."""
    return NumberBox(
        units.weight.value,
        units.weight,
        lambda weight_g: formats.weight_number(weight_g, units),
        lambda number: grams(number, units.weight),
    )


def heat_box(units: SchoolUnits) -> NumberBox:
    """Return a box for a temperature, stored in degrees C; in Fahrenheit it shows the nearest degree."""
    return NumberBox(
        f"°{units.temperature.value}",
        units.temperature,
        lambda c: formats.set_point(c, units),
        lambda number: celsius(number, units.temperature),
    )


def ramp_box(units: SchoolUnits) -> NumberBox:
    """Return a box for a ramp, stored in degrees C an hour; in Fahrenheit it shows the nearest degree."""
    fahrenheit = units.temperature is Temperature.FAHRENHEIT
    return NumberBox(
        f"°{units.temperature.value}/h",
        units.temperature,
        lambda c: formats.ramp_number(c, units),
        lambda number: number * 5 / 9 if fahrenheit else number,
    )


def either(words: Iterable[tuple[str, Any]]) -> ChoiceBox:
    """Return a box for one of a closed list."""
    return ChoiceBox(choices=tuple(words))
