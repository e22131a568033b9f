"""A kiln's night on a tablet: the planned curve, what was read, and where the clock stands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import INK, circle, drawing, element, line, number, text
from casting.drawings.timetable import Axis
from casting.presenters.formats import hour_minute
from casting.presenters.plan_sheet import KilnNight

WIDE_MM, HIGH_MM, LEFT_MM, RIGHT_MM = 200.0, 62.0, 8.0, 8.0
TYPE_MM = 4.6
TICK_APART_MM = 24.0
LETTER = 0.56
"""How wide a letter is, in heights of its type."""


def draw_night_curve(
    night: KilnNight,
    degrees: Callable[[float], str],
    readings: Sequence[tuple[datetime, float]],
    now: datetime,
    shift: timedelta = timedelta(0),
) -> SafeString:
    """Return the curve from when the kiln goes on to its last flask; `shift` is how much later it went on."""
    zone = night.on_at.tzinfo
    start = (night.on_at + shift).replace(minute=0, second=0)
    end = (night.segments[-1].ends_at + shift).astimezone(UTC) + timedelta(hours=1)
    axis = Axis(start, end.astimezone(zone).replace(minute=0), LEFT_MM, WIDE_MM - RIGHT_MM, TICK_APART_MM)
    floor, top = HIGH_MM - TYPE_MM - 2, TYPE_MM * 2 + 3
    hottest = max([*(one.to_c for one in night.segments), *(heat for _at, heat in readings)])
    height = {"floor": floor, "per_c": (floor - top) / hottest}

    def y(celsius: float) -> float:
        return height["floor"] - celsius * height["per_c"]

    children = [*_hours(axis, floor), *_curve(night, axis, y, shift), *_figures(night, axis, y, degrees, shift)]
    children += [circle(axis.x(at), y(heat), 2.6, class_="reading") for at, heat in readings if axis.reaches(at)]
    if axis.reaches(now):
        x = axis.x(now)
        children += [
            line(x, TYPE_MM + 1, x, floor, stroke_width=0.7),
            text(x, TYPE_MM, _("now"), TYPE_MM, text_anchor="middle", font_weight="700"),
        ]
    title = _("%(kiln)s over the hours: planned, and what was read") % {"kiln": night.named}
    return drawing(children, title=title, width_mm=WIDE_MM, height_mm=HIGH_MM, class_="night-curve")


def _hours(axis: Axis, floor: float) -> list[SafeString]:
    marks = [line(LEFT_MM, floor, WIDE_MM - RIGHT_MM, floor, stroke_width=0.3)]
    for tick in axis.ticks():
        x = axis.x(tick)
        marks += [
            line(x, floor, x, floor + 1.2, stroke_width=0.3),
            text(x, HIGH_MM - 1, hour_minute(tick), TYPE_MM, text_anchor="middle"),
        ]
    return marks


def _curve(night: KilnNight, axis: Axis, y: Callable[[float], float], shift: timedelta) -> list[SafeString]:
    points = [(axis.x(night.on_at + shift), y(20.0))]
    for segment in night.segments:
        points += [(axis.x(at + shift), y(segment.to_c)) for at in (segment.reached_at, segment.ends_at)]
    joined = " ".join(f"{number(x)},{number(at_y)}" for x, at_y in points)
    return [
        element(
            "polyline", points=joined, fill="none", stroke=INK, stroke_width=0.9, class_="hot", stroke_linejoin="round"
        )
    ]


def _figures(
    night: KilnNight, axis: Axis, y: Callable[[float], float], degrees: Callable[[float], str], shift: timedelta
) -> list[SafeString]:
    """Each hold's temperature over it, none over another."""
    marks, free_from = [], 0.0
    for segment in night.segments:
        words = degrees(segment.to_c)
        half = len(words) * TYPE_MM * LETTER / 2
        x = max((axis.x(segment.reached_at + shift) + axis.x(segment.ends_at + shift)) / 2, free_from + half)
        x = min(x, WIDE_MM - half)
        free_from = x + half + 1
        marks.append(text(x, y(segment.to_c) - 2, words, TYPE_MM, text_anchor="middle", font_weight="700"))
    return marks
