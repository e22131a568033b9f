"""A firing as it is written, on a screen: degrees over hours from a cold kiln, figures on the curve."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from decimal import Decimal

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.schedule.firing import written_min
from casting.calc.values.day_input import COLD_C, Segment
from casting.drawings.svg import INK, drawing, element, line, number, text
from casting.presenters.formats import SchoolUnits, degrees_number, minutes
from casting.units import Temperature, celsius

WIDTH_MM, HEIGHT_MM = 130.0, 66.0
LEFT_MM, RIGHT_MM, TOP_MM, FLOOR_MM = 14.0, 128.0, 9.0, 57.0
TYPE_MM = 4.4
LETTER = 0.56
"""How wide a letter is, in heights of its type."""
MOST_TICKS = 8
HOUR_STEPS = (1, 2, 3, 4, 6, 12, 24, 48, 120, 240)
DEGREE_STEP = {Temperature.CELSIUS: 200, Temperature.FAHRENHEIT: 400}


def draw_firing_curve(segments: Sequence[Segment], units: SchoolUnits) -> SafeString:
    """Return the curve of at least one segment, with its degrees in the school's unit and its holds in minutes."""
    ends = [written_min(segments[: nth + 1], COLD_C) for nth in range(len(segments))]
    across = (RIGHT_MM - LEFT_MM) / max(ends[-1], 1)
    up = (FLOOR_MM - TOP_MM) / max(COLD_C, *(one.to_c for one in segments))
    spots = [
        (LEFT_MM + across * (end - one.hold_min), LEFT_MM + across * end, FLOOR_MM - up * one.to_c)
        for one, end in zip(segments, ends, strict=True)
    ]
    children = [
        *_degrees(up, units),
        *_hours(ends[-1], across),
        *(_hold(left, right, y) for left, right, y in spots if right > left),
        _line([(LEFT_MM, FLOOR_MM - up * COLD_C), *((x, y) for left, right, y in spots for x in (left, right))]),
        *_figures(segments, spots, units),
    ]
    title = _("The firing over its hours: how fast it climbs, how long it holds, how hot it gets")
    return drawing(children, title=title, width_mm=WIDTH_MM, height_mm=HEIGHT_MM, class_="firing-curve")


def _degrees(up: float, units: SchoolUnits) -> list[SafeString]:
    """The scale on the left, with the unit over it."""
    step, marks = DEGREE_STEP[units.temperature], []
    for nth in itertools.count(1):
        y = FLOOR_MM - up * float(celsius(Decimal(nth * step), units.temperature))
        if y < TOP_MM:
            break
        marks.append(line(LEFT_MM, y, RIGHT_MM, y, class_="quiet"))
        marks.append(text(LEFT_MM - 1.5, y + 1.5, str(nth * step), TYPE_MM, text_anchor="end"))
    marks.append(line(LEFT_MM, TOP_MM, LEFT_MM, FLOOR_MM))
    return [*marks, text(LEFT_MM - 1.5, TYPE_MM, f"°{units.temperature.value}", TYPE_MM, text_anchor="end")]


def _hours(whole_min: float, across: float) -> list[SafeString]:
    """The clock below, from switching on."""
    step = next((one for one in HOUR_STEPS if whole_min / 60 <= one * MOST_TICKS), math.ceil(whole_min / 60))
    marks = [line(LEFT_MM, FLOOR_MM, RIGHT_MM, FLOOR_MM)]
    for hour in range(0, math.floor(whole_min / 60 + 1e-9) + 1, step):
        x = LEFT_MM + across * hour * 60
        marks.append(line(x, FLOOR_MM, x, FLOOR_MM + 1.5))
        words = _("%(hours)d h") % {"hours": hour} if hour else "0"
        marks.append(text(x, FLOOR_MM + 6.5, words, TYPE_MM, text_anchor="end" if x > RIGHT_MM - 6 else "middle"))
    return marks


def _hold(left: float, right: float, y: float) -> SafeString:
    return element("rect", x=left, y=y, width=right - left, height=FLOOR_MM - y, fill="none", class_="hold")


def _line(points: Sequence[tuple[float, float]]) -> SafeString:
    joined = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    look: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.9, "stroke_linejoin": "round"}
    return element("polyline", points=joined, class_="heat-line", **look)


def _figures(
    segments: Sequence[Segment], spots: Sequence[tuple[float, float, float]], units: SchoolUnits
) -> list[SafeString]:
    """Each hold's degrees over it, and its minutes under the curve where they have room."""
    marks, free_from = [], LEFT_MM + 1
    for segment, (left, right, y) in zip(segments, spots, strict=True):
        words = degrees_number(segment.to_c, units)
        half = len(words) * TYPE_MM * LETTER / 2
        x = min(max((left + right) / 2, free_from + half), RIGHT_MM - half)
        free_from = x + half + 1
        marks.append(text(x, y - 1.6, words, TYPE_MM, text_anchor="middle", font_weight="700"))
        held = minutes(round(segment.hold_min))
        if right - left > len(held) * TYPE_MM * LETTER and FLOOR_MM - y > TYPE_MM + 2:
            marks.append(text((left + right) / 2, FLOOR_MM - 2, held, TYPE_MM, text_anchor="middle"))
    return marks
