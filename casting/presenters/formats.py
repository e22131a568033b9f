"""Figures as people read them: the one place that rounds a number and gives it its unit.

What was weighed is shown as it was weighed; what is computed is rounded half up; what is to be weighed out is
rounded up; parts printed under a sum add up to it as printed. A temperature is given to the nearest degree, a
limit on its safe side.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from casting.calc.values.marked_text import DOWN, HEAT, NEAREST, UP
from casting.calc.values.tolerances import PRINTED
from casting.units import Length, Mass, Temperature, from_celsius, from_grams, from_millimetres
from school.models import School

STEP = {Mass.PENNYWEIGHT: Decimal("0.01"), Mass.TROY_OUNCE: Decimal("0.001"), Mass.OUNCE: Decimal("0.001")}
NARROW_SPACE = "\u202f"
FIRST, SECOND = "first", "second"
"""Of two equal times, in the night that the clocks go back."""
CENTIGRAM = Decimal("0.01")
ONE = Decimal(1)
ROUNDING = {DOWN: ROUND_FLOOR, NEAREST: ROUND_HALF_UP, UP: ROUND_CEILING}
"""How the space of a marked figure says that it is rounded on another scale."""


@dataclass(frozen=True, slots=True)
class SchoolUnits:
    """The units that a school reads beside grams, each chosen on its own."""

    weight: Mass = Mass.GRAM
    temperature: Temperature = Temperature.CELSIUS
    length: Length = Length.MILLIMETRE

    @property
    def inches(self) -> bool:
        """True if sizes are read in inches."""
        return self.length is Length.INCH


def units_of(school: School) -> SchoolUnits:
    """Return the units that a school reads."""
    return SchoolUnits(Mass(school.weight_unit), Temperature(school.temperature_unit), Length(school.length_unit))


def rounded(value: float | Decimal, places: int = 2) -> Decimal:
    """Return a number rounded half up to that many decimals."""
    return _exact(value).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def decimals(value: float | Decimal, places: int) -> str:
    """Return a number rounded half up to that many decimals, in the reader's own way of writing."""
    return formats.number_format(rounded(value, places), decimal_pos=places)


def _exact(value: float | Decimal) -> Decimal:
    """The number without the noise in the last bits of a float."""
    return Decimal(str(round(value, 9)))


def _places(exact: Decimal) -> int:
    """How many decimals a number has."""
    return max(0, -int(exact.normalize().as_tuple().exponent))


def plain(value: float | Decimal) -> str:
    """Return a number with as many decimals as it has, six at most."""
    exact = Decimal(str(round(value, 6)))
    return formats.number_format(exact, decimal_pos=_places(exact))


def decimals_down(length_mm: float, places: int, unit_mm: Decimal = ONE) -> str:
    """Return a clearance with that number of decimals, rounded down after adding the tolerance `PRINTED`.

    So a gap of 6 mm that is met to within `PRINTED` never reads as 5.9. In mm, or in a unit of so many.
    """
    exact = (Decimal(repr(length_mm)) + Decimal(repr(PRINTED))) / unit_mm
    return formats.number_format(exact.quantize(Decimal(1).scaleb(-places), ROUND_FLOOR), decimal_pos=places)


def decimals_up(length_mm: float, places: int, unit_mm: Decimal = ONE) -> str:
    """Return a length that is more than allowed with that number of decimals, rounded up: it never reads as allowed."""
    exact = (Decimal(repr(length_mm)) - Decimal(repr(PRINTED))) / unit_mm
    return formats.number_format(exact.quantize(Decimal(1).scaleb(-places), ROUND_CEILING), decimal_pos=places)


def grams(weight_g: float | Decimal) -> str:
    """Return a computed weight to 0.01 g, rounded half up."""
    return f"{decimals(weight_g, 2)}{NARROW_SPACE}g"


def weighed(weight_g: float | Decimal) -> str:
    """Return a weight in grams as the scale showed it, with two decimals at least.

    A scale in grams shows three decimals at most. A weight with more was weighed in another unit, and its grams
    are rounded like any computed weight, unless nothing would be left of it.
    """
    exact = _exact(weight_g)
    places = _places(exact)
    if places <= 3 or exact < CENTIGRAM / 2:
        return f"{decimals(exact, max(2, places))}{NARROW_SPACE}g"
    return grams(exact)


def in_full(weight_g: float | Decimal) -> str:
    """Return a weight with every decimal that the arithmetic uses, two at least: a sum can be redone by hand."""
    exact = _exact(weight_g)
    return f"{decimals(exact, max(2, _places(exact)))}{NARROW_SPACE}g"


def add_up(parts_g: Sequence[float], sum_g: float) -> list[Decimal]:
    """Return parts to 0.01 g that add up to their sum, which is to be weighed out and so rounded up to 0.01 g.

    Each part is cut to 0.01 g; the hundredths that the sum then lacks go to the parts that were cut most, again
    and again if they are many (the method of the largest remainder).
    """
    exact = [_exact(part_g) for part_g in parts_g]
    cut = [part.quantize(CENTIGRAM, ROUND_FLOOR) for part in exact]
    lacking = int((_exact(sum_g).quantize(CENTIGRAM, ROUND_CEILING) - sum(cut)) / CENTIGRAM)
    most_cut = sorted(range(len(exact)), key=lambda nth: (cut[nth] - exact[nth], nth))
    each, rest = divmod(lacking, len(exact) or 1)
    more = {nth: CENTIGRAM if place < rest else Decimal(0) for place, nth in enumerate(most_cut)}
    return [part + each * CENTIGRAM + more[nth] for nth, part in enumerate(cut)]


def money(amount: float | Decimal, school: School) -> str:
    """Return an amount to the hundredth, in the currency of the school's prices if that is recorded."""
    return f"{decimals(amount, 2)}{NARROW_SPACE + school.currency if school.currency else ''}"


def to_weigh(weight_g: float) -> str:
    """Return what someone reads off a scale: 0.1 g unless the step is finer."""
    places = 1 if abs(weight_g * 10 - round(weight_g * 10)) < 1e-6 else 2
    return decimals(weight_g, places)


def other_weight(weight_g: float | Decimal, units: SchoolUnits) -> str:
    """Return a computed weight in the school's own unit, rounded half up; nothing for grams."""
    return _in_other_unit(weight_g, units, ROUND_HALF_UP)


def other_to_weigh(weight_g: float, units: SchoolUnits) -> str:
    """Return what is to be weighed out in the school's own unit, rounded up; nothing for grams."""
    return _in_other_unit(weight_g, units, ROUND_CEILING)


def _in_other_unit(weight_g: float | Decimal, units: SchoolUnits, rounding: str) -> str:
    if units.weight is Mass.GRAM:
        return ""
    step = STEP[units.weight]
    rounded = from_grams(_exact(weight_g), units.weight).quantize(step, rounding=rounding)
    return f"{decimals(rounded, _places(step))}{NARROW_SPACE}{units.weight.value}"


def weight_to_read(weight_g: float, units: SchoolUnits) -> tuple[str, str]:
    """Return what is to be weighed out on the school's own scale, and beside it in grams unless that is the scale."""
    in_grams = f"{to_weigh(weight_g)} g"
    other = other_to_weigh(weight_g, units)
    return (other, in_grams) if other else (in_grams, "")


def to_weigh_on(weight_g: float, units: SchoolUnits) -> str:
    """Return what is to be weighed out on the school's own scale alone."""
    return weight_to_read(weight_g, units)[0]


def computed_to_read(weights_g: Sequence[float], units: SchoolUnits) -> tuple[str, str]:
    """Return the sum of computed weights, as each is printed, on the school's own scale; its grams unless it is that.

    Each is rounded before it is added, so that what is printed adds up.
    """
    in_grams = grams(sum((rounded(weight_g) for weight_g in weights_g), Decimal(0)))
    if units.weight is Mass.GRAM:
        return in_grams, ""
    step = STEP[units.weight]
    of_school = [from_grams(_exact(weight_g), units.weight).quantize(step, ROUND_HALF_UP) for weight_g in weights_g]
    return f"{decimals(sum(of_school, Decimal(0)), _places(step))}{NARROW_SPACE}{units.weight.value}", in_grams


def weighed_on(weight_g: float | Decimal, units: SchoolUnits) -> str:
    """Return the weight of a wax on the school's own scale."""
    return other_weight(weight_g, units) or weighed(weight_g)


def weighed_beside(weight_g: float | Decimal, units: SchoolUnits) -> str:
    """Return the weight of a wax as `weighed`; on another scale than grams, by that scale with its grams behind it."""
    return _beside(weighed(weight_g), other_weight(weight_g, units))


def grams_beside(weight_g: float | Decimal, units: SchoolUnits) -> str:
    """Return a computed weight as `grams`; on another scale, by that scale with its grams behind it."""
    return _beside(grams(weight_g), other_weight(weight_g, units))


def _beside(in_grams: str, other: str) -> str:
    return f"{other} ({in_grams})" if other else in_grams


def degrees_number(celsius: float, units: SchoolUnits) -> str:
    """Return a set point, or any temperature that is no limit, to the nearest degree of the school's scale."""
    exact = from_celsius(_exact(celsius), units.temperature)
    return formats.number_format(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def degrees(celsius: float, units: SchoolUnits) -> str:
    """Return a temperature on the school's scale with its unit."""
    return f"{degrees_number(celsius, units)}{NARROW_SPACE}°{units.temperature.value}"


def set_point(celsius: float, units: SchoolUnits) -> str:
    """Return a temperature as a box holds it: in Celsius as it is stored, in Fahrenheit to the nearest degree."""
    return plain(celsius) if units.temperature is Temperature.CELSIUS else degrees_number(celsius, units)


def ramp_number(celsius_per_h: float, units: SchoolUnits) -> str:
    """Return a ramp as a box holds it: in Celsius as it is stored, in Fahrenheit to the nearest degree an hour."""
    return plain(celsius_per_h) if units.temperature is Temperature.CELSIUS else _apart(celsius_per_h, units)


def length_number(length_mm: float, units: SchoolUnits) -> str:
    """Return a length as a box holds it: in mm as it is stored, in inches to the thousandth."""
    if not units.inches:
        return plain(length_mm)
    return plain(rounded(from_millimetres(_exact(length_mm), Length.INCH), 3))


def weight_number(weight_g: float, units: SchoolUnits) -> str:
    """Return a weight as a box holds it: in grams as it is stored, on another scale to four decimals."""
    return plain(rounded(from_grams(_exact(weight_g), units.weight), 4 if units.weight is not Mass.GRAM else 6))


def degrees_at_least(celsius: float, units: SchoolUnits) -> str:
    """Return a limit that must be reached: in Celsius as it is, in Fahrenheit up to the next ten degrees."""
    if units.temperature is Temperature.CELSIUS:
        return degrees(celsius, units)
    tens = (from_celsius(_exact(celsius), units.temperature) / 10).quantize(Decimal(1), ROUND_CEILING)
    return f"{tens * 10}{NARROW_SPACE}°{units.temperature.value}"


def own_decimals(english: str) -> str:
    """Return a number with the reader's own decimal sign."""
    return english.replace(".", formats.get_format("DECIMAL_SEPARATOR"))


def in_celsius(marked: re.Match[str]) -> str:
    """Return a marked figure (`MARKED`) as it is, with the reader's own decimal sign and word for a degree."""
    about, number, star, space, unit = (part or "" for part in marked.groups())
    return f"{about}{own_decimals(number)}{star}{space}{_unit_word(unit)}"


def _unit_word(unit: str) -> str:
    """The unit of a marked figure; that of a difference is a word."""
    return _("degrees %(scale)s") % {"scale": unit[-1]} if unit.startswith("degrees") else unit


def in_fahrenheit(marked: re.Match[str]) -> str:
    """Return a marked figure in Fahrenheit: a temperature takes its 32, a difference does not; its space rounds it.

    What is "about" a figure is given in tens.
    """
    about, number, star, space, unit = marked[1] or "", Decimal(marked[2]), marked[3] or "", marked[4], marked[5]
    exact = from_celsius(number, Temperature.FAHRENHEIT) if unit == HEAT else number * 9 / 5
    step = 10 if about else 1
    # What was typed in Fahrenheit is stored in Celsius with a rest in its last figures: 732.222 C is 1350 F, not 1349.
    whole = (exact.quantize(Decimal("0.01")) / step).quantize(Decimal(1), ROUNDING[space]) * step
    return f"{about}{whole}{star}{space}{_unit_word(unit.replace('C', 'F'))}"


def ramp(celsius_per_h: float, units: SchoolUnits) -> str:
    """Return a ramp to the nearest degree an hour of the school's scale."""
    return f"{_apart(celsius_per_h, units)}{NARROW_SPACE}°{units.temperature.value}/h"


def degrees_apart(celsius: float, units: SchoolUnits) -> str:
    """Return how far two temperatures are apart, to the nearest degree of the school's scale."""
    return f"{_apart(celsius, units)}°"


def _apart(celsius: float, units: SchoolUnits) -> str:
    return decimals(celsius * 1.8 if units.temperature is Temperature.FAHRENHEIT else celsius, 0)


def which_of_two(at: datetime) -> str:
    """Return `FIRST` or `SECOND` where the clock shows this time twice as it goes back; else nothing.

    A fixed offset cannot know it, unless it is named so (`presenters.clock_change`).
    """
    if at.tzname() in (FIRST, SECOND):
        return str(at.tzname())
    before, after = (at.replace(fold=fold).utcoffset() for fold in (0, 1))
    if before is None or after is None or before <= after:
        return ""
    return SECOND if at.fold else FIRST


def hour_minute(at: datetime) -> str:
    """Return the hour and minute alone, for a place that says beside it which of two is meant."""
    return f"{at:%H:%M}"


def first_or_second(at: datetime) -> str:
    """Return the word that tells a time from the one an hour apart that looks the same; nothing on other nights."""
    words = {FIRST: pgettext("of two equal times", "first"), SECOND: pgettext("of two equal times", "second")}
    return words.get(which_of_two(at), "")


def clock_time(at: datetime) -> str:
    """Return the hour and minute as the plan has them; with "first" or "second" if that time comes twice."""
    which = first_or_second(at)
    return f"{hour_minute(at)} ({which})" if which else hour_minute(at)


def weekday(at: datetime) -> str:
    """Return the short weekday, in the reader's language."""
    return formats.date_format(at.replace(tzinfo=None), "D")


def day_clock(at: datetime) -> str:
    """Return the short weekday and the time."""
    return f"{weekday(at)} {clock_time(at)}"


def day_date(at: date) -> str:
    """Return the short weekday and the date, of a time or of a day alone, in the reader's language."""
    day = date(at.year, at.month, at.day)
    return formats.date_format(day, pgettext("a date in Django's letters", "D j M Y"))


def stamp(at: datetime) -> str:
    """Return date and time to the minute, in the reader's language."""
    return f"{day_date(at)}, {clock_time(at)}"


def on_clock_of(at: datetime, school: School) -> str:
    """Return an instant with its weekday and date, on the school's own clock."""
    return stamp(at.astimezone(school.tz))


def w3c_time(at: datetime) -> str:
    """Return an instant as a PDF's own data has it: whole seconds, in UTC."""
    return f"{at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def minutes(number: int) -> str:
    """Return a span of minutes as hours and minutes."""
    hours, rest = divmod(number, 60)
    if not hours:
        return _("%(minutes)d min") % {"minutes": rest}
    if not rest:
        return _("%(hours)d h") % {"hours": hours}
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": rest}
