"""Figures as people read them: a number, rounded toward caution, with its unit attached."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from casting.calc.values.day_input import FlaskSize
from casting.calc.values.marked_text import HEAT, MARKED, UP
from casting.calc.values.tolerances import PRINTED
from casting.units import Mass, Temperature, from_celsius, from_grams
from school.models import School

MM_PER_INCH = Decimal("25.4")
STEP = {Mass.PENNYWEIGHT: Decimal("0.01"), Mass.TROY_OUNCE: Decimal("0.001"), Mass.OUNCE: Decimal("0.001")}
FRACTIONS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾", Fraction(0): ""}
NARROW_SPACE = "\u202f"


@dataclass(frozen=True, slots=True)
class SchoolUnits:
    """The units that a school reads beside grams; its inches go with its Fahrenheit."""

    weight: Mass = Mass.GRAM
    temperature: Temperature = Temperature.CELSIUS

    @property
    def inches(self) -> bool:
        """True if sizes read better in inches."""
        return self.temperature is Temperature.FAHRENHEIT


def units_of(school: School) -> SchoolUnits:
    """Return the units that a school reads."""
    return SchoolUnits(Mass(school.weight_unit), Temperature(school.temperature_unit))


def decimals(value: float | Decimal, places: int) -> str:
    """Return a number with so many decimals, in the reader's own way of writing."""
    # number_format cuts off; what is shown is rounded first, past the last bits of a float.
    exact = Decimal(str(round(value, 9)))
    return formats.number_format(exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP), decimal_pos=places)


def plain(value: float) -> str:
    """Return a number with as many decimals as it has, six at most."""
    return formats.number_format(Decimal(repr(round(value, 6))).normalize() + 0)


def decimals_down(value: float, places: int) -> str:
    """Return a clearance in mm with so many decimals, rounded down but for what printing its layout moves it.

    So 6 mm that a plan keeps to within `PRINTED` never reads as 5.9.
    """
    step = Decimal(1).scaleb(-places)
    exact = Decimal(repr(value)) + Decimal(repr(PRINTED))
    return formats.number_format(exact.quantize(step, rounding=ROUND_FLOOR), decimal_pos=places)


def grams(weight_g: float | Decimal) -> str:
    """Return a weight to 0.01 g."""
    return f"{decimals(weight_g, 2)}{NARROW_SPACE}g"


def money(amount: float, school: School) -> str:
    """Return an amount to the hundredth, in the currency of the school's prices if that is recorded."""
    return f"{decimals(amount, 2)}{NARROW_SPACE + school.currency if school.currency else ''}"


def to_weigh(weight_g: float) -> str:
    """Return what someone reads off a scale: 0.1 g unless the step is finer."""
    places = 1 if abs(weight_g * 10 - round(weight_g * 10)) < 1e-6 else 2
    return decimals(weight_g, places)


def other_weight(weight_g: float, units: SchoolUnits) -> str:
    """Return the same weight in the school's own unit, rounded up; nothing for grams."""
    if units.weight is Mass.GRAM:
        return ""
    step = STEP[units.weight]
    exact = from_grams(Decimal(repr(weight_g)), units.weight)
    stepped = exact.quantize(step, rounding=ROUND_CEILING)
    places = -int(step.as_tuple().exponent)
    return f"{decimals(float(stepped), places)}{NARROW_SPACE}{units.weight.value}"


def degrees_number(celsius: float, units: SchoolUnits) -> str:
    """Return a temperature on the school's scale, whole, rounded down: never hotter than planned."""
    exact = from_celsius(Decimal(repr(celsius)), units.temperature) + Decimal("1e-9")
    return formats.number_format(exact.quantize(Decimal(1), rounding=ROUND_FLOOR))


def degrees(celsius: float, units: SchoolUnits) -> str:
    """Return a temperature on the school's scale with its unit."""
    return f"{degrees_number(celsius, units)}{NARROW_SPACE}°{units.temperature.value}"


def in_units(sentence: str, units: SchoolUnits) -> str:
    """Return a sentence with its marked temperatures (`calc.figures`) on the school's scale, in whole degrees."""
    if units.temperature is Temperature.CELSIUS:
        return sentence
    return MARKED.sub(_in_fahrenheit, sentence)


def _in_fahrenheit(marked: re.Match[str]) -> str:
    """A marked figure: a temperature takes its 32, a difference does not; rounded the way its space says."""
    number, space, unit = Decimal(marked[1]), marked[2], marked[3]
    exact = from_celsius(number, Temperature.FAHRENHEIT) if unit == HEAT else number * 9 / 5
    whole = exact.quantize(Decimal(1), ROUND_CEILING if space == UP else ROUND_FLOOR)
    return f"{whole}{space}{unit.replace('C', 'F')}"


def ramp(celsius_per_h: float, units: SchoolUnits) -> str:
    """Return a ramp on the school's scale, rounded down: a kiln is never driven faster."""
    steep = celsius_per_h * 1.8 if units.temperature is Temperature.FAHRENHEIT else celsius_per_h
    return f"{math.floor(steep + 1e-9)}{NARROW_SPACE}°{units.temperature.value}/h"


def clock_time(at: datetime) -> str:
    """Return the hour and minute as the plan has them."""
    return f"{at:%H:%M}"


def weekday(at: datetime) -> str:
    """Return the short weekday, in the reader's language."""
    return formats.date_format(at.replace(tzinfo=None), "D")


def day_clock(at: datetime) -> str:
    """Return the short weekday and the time."""
    return f"{weekday(at)} {clock_time(at)}"


def long_date(at: datetime) -> str:
    """Return the weekday and the date, in the reader's language."""
    # A language may want words between: "l j \\d\\e F \\d\\e Y".
    return formats.date_format(at.replace(tzinfo=None), pgettext("a date in Django's letters", "l j F Y"))


def stamp(at: datetime) -> str:
    """Return date and time to the minute, in the reader's language."""
    return f"{formats.date_format(at.replace(tzinfo=None), 'D j M Y')}, {clock_time(at)}"


def w3c_time(at: datetime) -> str:
    """Return an instant as a PDF's own data has it: whole seconds, in UTC."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def flask_size(size: FlaskSize, units: SchoolUnits) -> str:
    """Return inside diameter by height, in mm or in inches where they are whole quarters."""
    inches = [_inches(length) for length in (size.diameter_mm, size.height_mm)] if units.inches else []
    if inches and all(inches):
        return f"{inches[0]} × {inches[1]} in"
    return f"{size.diameter_mm:g} × {size.height_mm:g}{NARROW_SPACE}mm"


def _inches(length_mm: float) -> str:
    """A length in inches and quarters; nothing where it is none."""
    quarters = Decimal(repr(length_mm)) / MM_PER_INCH * 4
    if abs(quarters - round(quarters)) > Decimal("0.005"):
        return ""
    whole, rest = divmod(Fraction(round(quarters), 4), 1)
    return f"{whole}{FRACTIONS[rest]}"


def minutes(number: int) -> str:
    """Return a span of minutes as hours and minutes."""
    hours, rest = divmod(number, 60)
    if not hours:
        return _("%(minutes)d min") % {"minutes": rest}
    if not rest:
        return _("%(hours)d h") % {"hours": hours}
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": rest}
