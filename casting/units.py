"""What people type and read: numbers in text, and their units. The only place that knows pint.

Typed text never reaches pint, which reads "1 oz t" as ounces times tonnes. A number field is
read here by a strict pattern; its unit comes from a closed list.
"""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from enum import StrEnum
from typing import Any

import pint
from django.utils.translation import gettext as _

LONGEST_ENTRY = 20
"""Characters; a longer entry is no weight and no length."""

NUMBER = re.compile(r"(?P<whole>[0-9]{0,7})(?:[.,](?P<part>[0-9]{0,6}))?(?: ?(?P<unit>[a-zA-Z]{1,3}))?")


class Mass(StrEnum):
    """The units that a scale at the bench may read in."""

    GRAM = "g"
    PENNYWEIGHT = "dwt"
    TROY_OUNCE = "ozt"
    OUNCE = "oz"


class Length(StrEnum):
    """The units of a ruler."""

    MILLIMETRE = "mm"
    INCH = "in"


class Temperature(StrEnum):
    """The units of a kiln's controller."""

    CELSIUS = "C"
    FAHRENHEIT = "F"


class Count(StrEnum):
    """What is the same everywhere: a number without a unit, a share, minutes."""

    PLAIN = ""
    PERCENT = "%"
    MINUTE = "min"


_registry: Any = pint.UnitRegistry(non_int_type=Decimal)
_PINT_NAME = {
    Mass.GRAM: "gram",
    Mass.PENNYWEIGHT: "pennyweight",
    Mass.TROY_OUNCE: "troy_ounce",
    Mass.OUNCE: "ounce",
    Temperature.CELSIUS: "degree_Celsius",
    Temperature.FAHRENHEIT: "degree_Fahrenheit",
    Length.MILLIMETRE: "millimeter",
    Length.INCH: "inch",
}


class NotUnderstood(ValueError):
    """An entry that is no number, or not one that can be meant: what stands there, what to do."""

    def __init__(self, sentence: str, entered: str) -> None:
        self.sentence = sentence
        self.entered = entered
        super().__init__(sentence)


def read_number(text: str, unit: Mass | Length | Temperature | Count) -> Decimal:
    """The number that somebody typed into a field of that unit; never negative.

    One comma or one point, a bare `.5` or `5.`, and the field's own unit behind it are taken.
    """
    if len(text) > LONGEST_ENTRY:
        raise NotUnderstood(
            _("That entry is %(length)d characters long. Write one number, like 4.35.") % {"length": len(text)},
            text[:LONGEST_ENTRY],
        )
    entered = unicodedata.normalize("NFKC", text).strip()
    if not entered:
        raise NotUnderstood(_("Nothing is entered. Write a number, like 4.35."), entered)
    found = NUMBER.fullmatch(entered)
    # A raised or circled digit would fold into its neighbours: 4 with a small 2 is not 42.
    folded = any(unicodedata.category(letter) == "No" for letter in text)
    if folded or found is None or not (found["whole"] or found["part"]):
        why = _("“%(entered)s” is not a number. Write digits with one comma or point, like 4.35.")
        why = why if folded else _why_not(entered)
        raise NotUnderstood(why % {"entered": text.strip()}, entered)
    if found["unit"] and found["unit"].lower() != unit.value.lower():
        sentence = _("“%(entered)s” is not in %(unit)s, but this field is. Write the number in %(unit)s.")
        raise NotUnderstood(sentence % {"entered": entered, "unit": _in_words(unit)}, entered)
    return Decimal(f"{found['whole'] or '0'}.{found['part'] or '0'}")


def _in_words(unit: Mass | Length | Temperature | Count) -> str:
    """A unit in a sentence, where "in" alone would be read as another word."""
    return _("inches") if unit is Length.INCH else unit.value


FRACTION = re.compile(r"(?:(\d{1,3})[ -]+)?(\d{1,2})/(2|4|8|16|32|64)(?P<unit> ?in)?")
SIGNS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}


def in_decimals(typed: str) -> str:
    """Return inches with a fraction, as a ruler has them, as a decimal number: 2 1/2 is 2.5. Anything else stays."""
    spelled = "".join(SIGNS.get(letter, letter) for letter in typed.replace("\N{FRACTION SLASH}", "/")).strip()
    found = FRACTION.fullmatch(spelled)
    # 21/2 may be two and a half, with its space forgotten.
    if found is None or int(found[2]) >= int(found[3]):
        return typed
    return f"{Decimal(found[1] or 0) + Decimal(found[2]) / Decimal(found[3])}"


def _why_not(entered: str) -> str:
    """The sentence for what is no number, its entry still to be put in."""
    if entered[0] in "-\u2212\u2013":
        return _("“%(entered)s” is below zero. Write what the scale or the ruler shows, like 4.35.")
    if sum(entered.count(mark) for mark in ".,") > 1:
        return _("“%(entered)s” has more than one comma or point. Write one, like 4.35 or 4,35.")
    if re.search(r"[0-9]\s+[0-9]", entered):
        return _("“%(entered)s” has a space between its digits. Write it without, like 4.35.")
    if re.fullmatch(r"[0-9]+[.,]?[0-9]*", entered):
        return _("“%(entered)s” has too many digits. Write what the scale or the ruler shows, like 4.35.")
    return _("“%(entered)s” is not a number. Write digits with one comma or point, like 4.35.")


def grams(number: Decimal, unit: Mass) -> Decimal:
    """That many of a unit, in grams; exact."""
    return _convert(number, unit, Mass.GRAM)


def from_grams(weight_g: Decimal, unit: Mass) -> Decimal:
    """Grams, in another unit."""
    return _convert(weight_g, Mass.GRAM, unit)


def from_celsius(temperature_c: Decimal, unit: Temperature) -> Decimal:
    """Degrees C, on another scale."""
    return _convert(temperature_c, Temperature.CELSIUS, unit)


def celsius(number: Decimal, unit: Temperature) -> Decimal:
    """Degrees of a scale, in degrees C."""
    return _convert(number, unit, Temperature.CELSIUS)


def millimetres(number: Decimal, unit: Length) -> Decimal:
    """That many of a unit, in mm."""
    return _convert(number, unit, Length.MILLIMETRE)


def from_millimetres(length_mm: Decimal, unit: Length) -> Decimal:
    """Millimetres, in another unit."""
    return _convert(length_mm, Length.MILLIMETRE, unit)


def _convert(number: Decimal, unit: Mass | Temperature | Length, wanted: Mass | Temperature | Length) -> Decimal:
    if unit is wanted:
        return number
    converted: Decimal = _registry.Quantity(number, _PINT_NAME[unit]).to(_PINT_NAME[wanted]).magnitude
    return converted
