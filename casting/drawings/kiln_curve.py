"""One kiln's firing over the hours, to be read from two metres: figures on the curve, who is there above it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.drawings.svg import INK, drawing, element, line, number, text
from casting.drawings.timetable import Axis
from casting.presenters.formats import hour_minute, weekday
from casting.presenters.hours_there import Span, there_between
from casting.presenters.plan_sheet import KilnNight, PlanSheet

WIDTH_MM, LEFT_MM, RIGHT_MM = 277.0, 15.0, 9.0
"""As wide as a sheet of A4 on its side between its margins."""
BAR_MM = 4.8
TICK_APART_MM = 26.0
FAR_MM, NEAR_MM = 7.0, 4.6
"""Type of 20 pt for the figures on the curve, of 13 pt for the clock and the events."""
LETTER = 0.56
"""How wide a letter is, in heights of its type."""
HOLD, NOBODY = "#d0d0d0", "#fff"


def axis_of(plan: PlanSheet, night: KilnNight) -> Axis:
    """Return the hours from a kiln's load to its last flask."""
    loads = [step.at for step in plan.steps_of(Do.LOAD) if step.kiln == night.kiln.key]
    first, last = (
        min([*loads, night.on_at]),
        max([flask.out_at for flask in night.flasks] or [night.segments[-1].ends_at]),
    )
    start, end = (at.astimezone(plan.zone).replace(minute=0, second=0) for at in (first, last))
    end = (end.astimezone(UTC) + timedelta(hours=1)).astimezone(plan.zone)
    return Axis(start, end, LEFT_MM, WIDTH_MM - RIGHT_MM, TICK_APART_MM)


def draw_kiln_curve(plan: PlanSheet, night: KilnNight, degrees: Callable[[float], str], height_mm: float) -> SafeString:
    """Return a kiln's temperature on one clock axis, its holds in grey, with the hours when somebody is there."""
    axis, floor, bar = axis_of(plan, night), height_mm - 0.6, NEAR_MM + 1.6
    top_c, room = max(segment.to_c for segment in night.segments), height_mm - bar - BAR_MM - FAR_MM - 2
    heights = {segment.to_c: floor - room * segment.to_c / top_c for segment in night.segments}
    children = [
        *_clock(axis, bar, floor),
        *_people(axis, there_between(plan, axis.start, axis.end), bar),
        *_holds(night, axis, heights, floor),
        *_events(plan, night, axis, floor),
        *_figures(night, axis, heights, degrees),
        line(LEFT_MM, floor, WIDTH_MM - RIGHT_MM, floor, stroke_width=0.5),
    ]
    title = _("%(kiln)s over the hours: its temperature, its pours, and when somebody is there") % {"kiln": night.named}
    return drawing(children, title=title, width_mm=WIDTH_MM, height_mm=height_mm, class_="kiln-curve")


def _clock(axis: Axis, bar: float, floor: float) -> list[SafeString]:
    """The hours along the top, with the weekday at the start and at each midnight."""
    marks, day = [], None
    for tick in axis.ticks():
        x, hour = axis.x(tick), hour_minute(tick)
        words = hour if tick.date() == day else f"{weekday(tick)} {hour}"
        marks.append(text(x, NEAR_MM, words, NEAR_MM, text_anchor="middle", font_weight="700"))
        marks.append(line(x, bar + BAR_MM, x, floor, stroke_width=0.15, stroke_dasharray="1 1.5"))
        day = tick.date()
    return marks


def _people(axis: Axis, there: Sequence[Span] | None, bar: float) -> list[SafeString]:
    """A bar, black while somebody is there; each stretch says so where it has room."""
    wide = WIDTH_MM - RIGHT_MM - LEFT_MM
    marks = [element("rect", x=LEFT_MM, y=bar, width=wide, height=BAR_MM, fill=NOBODY, stroke=INK, stroke_width=0.3)]
    if there is None:
        return [*marks, _in_bar(LEFT_MM, LEFT_MM + wide, bar, _("hours when somebody is there: not recorded"), INK)]
    free = LEFT_MM
    for begins, ends in there:
        left, right = axis.x(begins), axis.x(ends)
        marks.append(element("rect", x=left, y=bar, width=right - left, height=BAR_MM, fill=INK, class_="solid"))
        marks.append(_in_bar(free, left, bar, _("nobody there"), INK))
        marks.append(_in_bar(left, right, bar, _("somebody there"), NOBODY))
        free = right
    return [*marks, _in_bar(free, LEFT_MM + wide, bar, _("nobody there"), INK)]


def _in_bar(left: float, right: float, bar: float, words: str, fill: str) -> SafeString:
    """Words in the middle of a stretch of the bar; nothing if it is too short."""
    size = BAR_MM - 0.9
    if right - left < len(words) * size * LETTER:
        return SafeString("")
    return text((left + right) / 2, bar + BAR_MM - 1.2, words, size, fill=fill, text_anchor="middle", font_weight="700")


def _holds(night: KilnNight, axis: Axis, heights: dict[float, float], floor: float) -> list[SafeString]:
    """The kiln's line, and grey under it while it holds."""
    points, greys = [(axis.x(night.on_at), floor)], []
    for segment in night.segments:
        left, right, y = axis.x(segment.reached_at), axis.x(segment.ends_at), heights[segment.to_c]
        points += [(left, y), (right, y)]
        under = [(left, floor), (left, y), ((left + right) / 2, y), (right, y), (right, floor)]
        greys.append(element("polygon", points=_joined(under), fill=HOLD, class_="hold"))
    look: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 1, "stroke_linejoin": "round"}
    return [*greys, element("polyline", points=_joined(points), class_="ink", **look)]


def _joined(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _events(plan: PlanSheet, night: KilnNight, axis: Axis, floor: float) -> list[SafeString]:
    """The load, the switch and each pour, as strokes on the floor with words beside them."""
    loads = [step.at for step in plan.steps_of(Do.LOAD) if step.kiln == night.kiln.key]
    told: list[tuple[datetime, str, float]] = [(night.on_at, _("on"), NEAR_MM + 1.2)]
    if loads:
        told.append((min(loads), _("load"), 0.0))
    marks = []
    for at, words, above in told:
        marks += [_stroke(axis.x(at), floor, above + NEAR_MM), _left_of(axis.x(at), floor - above, words)]
    marks += [_stroke(axis.x(flask.out_at), floor, NEAR_MM) for flask in night.flasks]
    if night.flasks:
        marks.append(_left_of(axis.x(night.flasks[0].out_at), floor, _("pours")))
    return marks


def _stroke(x: float, floor: float, high: float) -> SafeString:
    return line(x, floor, x, floor - high, stroke_width=0.7)


def _left_of(x: float, y: float, words: str) -> SafeString:
    return text(x - 1, y - 1.2, words, NEAR_MM, text_anchor="end", font_weight="700")


def _figures(
    night: KilnNight, axis: Axis, heights: dict[float, float], degrees: Callable[[float], str]
) -> list[SafeString]:
    """Each hold's temperature over it, none over another."""
    marks, free_from = [], 0.0
    for segment in night.segments:
        words = degrees(segment.to_c)
        half = len(words) * FAR_MM * LETTER / 2
        x = max((axis.x(segment.reached_at) + axis.x(segment.ends_at)) / 2, free_from + half)
        x = min(x, WIDTH_MM - half)
        free_from = x + half + 1
        marks.append(text(x, heights[segment.to_c] - 1.6, words, FAR_MM, text_anchor="middle", font_weight="700"))
    return marks
