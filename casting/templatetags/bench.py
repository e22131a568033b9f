"""A number with its unit, rounded as the bench reads it and toward caution."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

from django import template
from django.utils import formats, timezone

from casting.units import Length, Temperature, from_celsius, from_millimetres

register = template.Library()
NARROW_SPACE = "\u202f"
GUARD = Decimal("1e-9")
"""What a float is off by is no reason to round up."""


def _exact(value: Decimal | float) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(repr(value))


def _written(value: Decimal, places: int, unit: str, rounding: str) -> str:
    guard = GUARD if rounding == ROUND_FLOOR else -GUARD
    rounded = (value + guard).quantize(Decimal(1).scaleb(-places), rounding=rounding)
    return f"{formats.number_format(rounded or abs(rounded), decimal_pos=places)}{NARROW_SPACE}{unit}"


@register.filter
def grams(weight_g: Decimal | float, places: int = 2) -> str:
    """A weight, rounded up: too little metal or powder spoils a cast, too much goes back on the shelf."""
    return _written(_exact(weight_g), places, "g", ROUND_CEILING)


@register.filter
def about_grams(weight_g: Decimal | float) -> str:
    """A weight nobody weighs out yet: whole grams, tenths below 10 g, rounded up."""
    return grams(weight_g, 0 if weight_g >= 10 else 1)


@register.filter
def millimetres(length_mm: Decimal | float) -> str:
    """A size of a wax to 0.1 mm, rounded up, so that it never looks as if it fitted when it does not."""
    return f"{_tenths(length_mm)}{NARROW_SPACE}mm"


@register.filter
def outer_size(wax: Any) -> str:
    """A wax's width by depth by height, rounded as one size is."""
    lengths = (wax.width_mm, wax.depth_mm, wax.height_mm)
    return f"{' × '.join(_tenths(length) for length in lengths)}{NARROW_SPACE}mm"


def _tenths(length_mm: Decimal | float) -> str:
    """A length up to 0.1, without a nought that says nothing."""
    tenths = (_exact(length_mm) - GUARD).quantize(Decimal("0.1"), rounding=ROUND_CEILING)
    return formats.number_format(f"{abs(tenths).normalize():f}")


@register.filter
def degrees(temperature_c: Decimal | float, unit: str = "C") -> str:
    """A temperature on the school's scale, in whole degrees, rounded down: never hotter than planned."""
    scale = Temperature(unit)
    return _written(from_celsius(_exact(temperature_c), scale), 0, f"°{scale.value}", ROUND_FLOOR)


@register.filter
def clock_time(at: datetime | str, layout: str = "H:i") -> str:
    """A time of the day: a plan's own offset as it stands, a row's time on the clock in force."""
    local = datetime.fromisoformat(at) if isinstance(at, str) else timezone.localtime(at)
    return formats.date_format(local.replace(tzinfo=None), layout)


@register.filter
def on_clock_of(at: datetime, school: Any) -> str:
    """A row's time with its weekday and date, on the school's own clock."""
    return formats.date_format(at.astimezone(school.tz).replace(tzinfo=None), "D j M Y, H:i")


@register.filter
def flask_size(size: Any, unit: str = "mm") -> str:
    """A flask's inside diameter by its height; `size` is a row or an entry of a day file."""
    both = [size[key] if isinstance(size, dict) else getattr(size, key) for key in ("diameter_mm", "height_mm")]
    shown = [from_millimetres(_exact(length), Length(unit)).quantize(Decimal("0.1")) for length in both]
    return f"{' × '.join(formats.number_format(f'{length.normalize():f}') for length in shown)}{NARROW_SPACE}{unit}"
