"""The whole day on one clock axis: when somebody is there, each kiln's temperature as a line, a row per flask."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.utils.safestring import SafeString
from django.utils.text import Truncator
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.drawings.svg import HOT, INK, QUIET, drawing, element, line, number, text
from casting.presenters.formats import SECOND, clock_time, hour_minute, weekday, which_of_two
from casting.presenters.from_memory import heat_mark
from casting.presenters.hours_there import Span, there_between
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet

WIDTH_MM = 186.0
LEFT_MM = 12.0
NAME_MOST = 24
"""Letters of a kiln's name that find room over the start of its curve."""
RIGHT_MM = 16.0
AXIS_MM = 9.0
CURVE_MM = 25.0
ROW_MM = 5.2
BAR_MM = 4.2
TICK_APART_MM = 11.0
KEY_MM = 5.0
NOW_MM = 4.2
THERE_MM = 1.5
THERE = "#ece7dc"
HIGHEST_C = 800.0

Degrees = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Axis:
    """A stretch of time laid along the paper, between two edges."""

    start: datetime
    end: datetime
    left_mm: float = LEFT_MM
    right_mm: float = WIDTH_MM - RIGHT_MM
    tick_apart_mm: float = TICK_APART_MM

    @property
    def length(self) -> timedelta:
        """How long it is."""
        return self.end.astimezone(UTC) - self.start.astimezone(UTC)

    def x(self, at: datetime) -> float:
        """Where an instant stands, in mm."""
        # In UTC: two times of one zone would be taken apart by their clocks, an hour wrong overnight.
        begun, now = self.start.astimezone(UTC), at.astimezone(UTC)
        share = (now - begun) / self.length
        return self.left_mm + share * (self.right_mm - self.left_mm)

    def reaches(self, at: datetime) -> bool:
        """Whether an instant lies on it."""
        return self.start <= at <= self.end

    def ticks(self) -> list[datetime]:
        """Whole local hours, at least a label's width apart."""
        hours = self.length / timedelta(hours=1)
        mm_per_hour = (self.right_mm - self.left_mm) / hours
        every = next((step for step in (1, 2, 3, 4, 6, 12) if step * mm_per_hour >= self.tick_apart_mm), 24)
        # By half hours, as some clocks change by no more.
        instants = (self.start.astimezone(UTC) + timedelta(minutes=30 * nth) for nth in range(int(hours * 2) + 1))
        local = (instant.astimezone(self.start.tzinfo) for instant in instants)
        ticks = [tick for tick in local if tick.hour % every == 0 and tick.minute == 0]
        # Of two equal hours the first has the label, so that no two labels lie over each other.
        return [tick for tick in ticks if which_of_two(tick) != SECOND]


def axis_of(plan: PlanSheet) -> Axis:
    """Return the axis from the first thing on the bench to the last quench, whole hours.

    A flask that was invested before this plan may have set for days: that is nothing to show.
    """
    begins = [step.at for step in plan.steps if step.do is not Do.SET] + [night.on_at for night in plan.kilns]
    ends = [step.until for step in plan.steps] + [flask.quench_at for flask in plan.flasks]
    first, last = min(begins, default=plan.pour_at), max(ends, default=plan.pour_at)
    start = first.astimezone(plan.zone).replace(minute=0, second=0)
    end = last.astimezone(plan.zone).replace(minute=0, second=0)
    return Axis(start, (end.astimezone(UTC) + timedelta(hours=1)).astimezone(plan.zone))


def draw_timetable(
    plan: PlanSheet,
    degrees: Degrees,
    row_mm: float = ROW_MM,
    curve_mm: float = CURVE_MM,
    now: datetime | None = None,
) -> SafeString:
    """Return the day: the clock and when somebody is there, each kiln's temperature, a row per flask to its pour.

    `now` is marked where the axis reaches it.
    """
    axis = axis_of(plan)
    floor = AXIS_MM + curve_mm * len(plan.kilns) + row_mm * len(plan.flasks)
    marked = now is not None and axis.reaches(now)
    height = floor + KEY_MM + (NOW_MM if marked else 0)
    there = there_between(plan, axis.start, axis.end)
    children, top = [*_people(axis, there or (), floor), *_axis(axis, floor)], AXIS_MM
    for night in plan.kilns:
        children += [
            *_curve(night, axis, top + 5, curve_mm - 6, degrees),
            text(0, top + 3.4, Truncator(night.kiln.called).chars(NAME_MOST), 3.4, font_weight="700"),
        ]
        top += curve_mm
    for flask in plan.flasks:
        children += _row(plan, flask, axis, top + row_mm / 2, min(BAR_MM, row_mm - 0.6))
        top += row_mm
    if plan.flasks:
        children.append(text(LEFT_MM, height - 1, _key(there), 2.8))
    if marked and now is not None:
        children += _now(axis, now.astimezone(plan.zone), floor)
    return drawing(
        children,
        title=_("Timetable from the first mix to the last pour, one row per flask"),
        width_mm=WIDTH_MM,
        height_mm=height,
        class_="timetable",
    )


def _key(there: Sequence[Span] | None) -> str:
    """What the lines mean; with no bar, that nobody recorded the hours."""
    lines = _("Thin line: mixed and setting. Thick line: in the kiln. Block: pour.")
    bar = _("Hours when somebody is there: not recorded.") if there is None else _("Bar: somebody is there.")
    return f"{lines} {bar}"


def _people(axis: Axis, there: Sequence[Span], floor: float) -> list[SafeString]:
    """A bar under the clock and a light column for each stretch in which somebody is there."""
    marks = []
    for begins, ends in there:
        x, width = axis.x(begins), axis.x(ends) - axis.x(begins)
        marks.append(element("rect", x=x, y=AXIS_MM, width=width, height=floor - AXIS_MM, fill=THERE, class_="there"))
        marks.append(element("rect", x=x, y=AXIS_MM, width=width, height=THERE_MM, fill=INK, class_="solid"))
    return marks


def _now(axis: Axis, now: datetime, floor: float) -> list[SafeString]:
    """A line through the day at this moment, with its clock below; what the lines mean stands under both."""
    x, words = axis.x(now), _("now %(time)s") % {"time": clock_time(now)}
    place = min(max(x, LEFT_MM), WIDTH_MM - RIGHT_MM)
    return [
        line(x, AXIS_MM - 1.2, x, floor + 0.6, stroke_width=0.5, stroke_dasharray="1.4 0.8"),
        text(place, floor + NOW_MM - 0.9, words, 3.2, font_weight="700", text_anchor="middle"),
    ]


def _axis(axis: Axis, height: float) -> list[SafeString]:
    """The clock along the top, with the weekday at the start and at each midnight."""
    marks = [line(LEFT_MM, AXIS_MM, WIDTH_MM - RIGHT_MM, AXIS_MM, stroke_width=0.3)]
    day = None
    for tick in axis.ticks():
        x = axis.x(tick)
        marks.append(line(x, AXIS_MM - 1.2, x, AXIS_MM))
        marks.append(text(x, AXIS_MM - 2.1, hour_minute(tick), 3, text_anchor="middle"))
        if tick.date() != day:
            marks.append(text(x, 2.9, weekday(tick), 3, font_weight="700", text_anchor="middle"))
            if tick.hour == 0:
                marks.append(line(x, AXIS_MM, x, height, stroke=QUIET, stroke_width=0.15, class_="quiet"))
        day = tick.date()
    return marks


def _curve(night: KilnNight, axis: Axis, top: float, height: float, degrees: Degrees) -> list[SafeString]:
    """The kiln's temperature, each hold with its degrees above it."""

    def y(celsius: float) -> float:
        return top + height * (1 - celsius / HIGHEST_C)

    midnights = [axis.x(tick) for tick in axis.ticks() if tick.hour == 0]
    points = [(axis.x(night.on_at), y(night.segments[0].from_c))]
    marks: list[SafeString] = []
    free_from = 0.0
    for segment in night.segments:
        reached, ends = axis.x(segment.reached_at), axis.x(segment.ends_at)
        points += [(reached, y(segment.to_c)), (ends, y(segment.to_c))]
        words = degrees(segment.to_c) + heat_mark(night, segment.to_c)
        x = max((reached + ends) / 2, free_from + len(words))
        half = len(words) * 0.85
        for midnight in midnights:
            if abs(midnight - x) < half:
                # Off the midnight's line, to the side on which the kiln is cooler than here.
                before = not segment.cooling and midnight - 2 * half >= free_from
                x = midnight - half if before else midnight + half
        free_from = x + len(words) * 0.9
        marks.append(text(x, y(segment.to_c) - 1.5, words, 3, fill=HOT, text_anchor="middle", class_="heat"))
    shape = " ".join(f"{number(x)},{number(at)}" for x, at in points)
    curve = element(
        "polyline",
        points=shape,
        fill="none",
        stroke=HOT,
        stroke_width=0.6,
        stroke_linejoin="round",
        class_="heat-line",
    )
    return [curve, *marks]


def _row(plan: PlanSheet, flask: FlaskSheet, axis: Axis, y: float, bar_mm: float) -> list[SafeString]:
    """From the mix to the thick bar at the pour, with the clock beside it; a hollow bar and a word once it is over."""
    begun = _begun(plan, flask.label)
    pour = axis.x(flask.out_at)
    into_kiln = [night.on_at for night in plan.kilns if night.kiln.key == flask.kiln]
    marks = [text(0, y + 1.3, flask.label, 3.8, font_weight="700")]
    if begun is not None:
        marks.append(line(axis.x(begun), y - 1.1, axis.x(begun), y + 1.1, stroke_width=0.3))
        marks.append(line(axis.x(begun), y, pour, y, stroke_width=0.3))
    for on_at in into_kiln:
        marks.append(line(axis.x(on_at), y, pour, y, stroke=HOT, stroke_width=0.8, class_="heat-line"))
    if not flask.to_pour:
        hollow: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.4}
        marks.append(element("rect", x=pour - 0.6, y=y - bar_mm / 2, width=1.8, height=bar_mm, **hollow))
        return [*marks, text(pour + 2.2, y + 1.2, flask.over_word, 3.4)]
    marks.append(element("rect", x=pour - 0.6, y=y - bar_mm / 2, width=1.8, height=bar_mm, fill=INK, class_="solid"))
    marks.append(text(pour + 2.2, y + 1.2, clock_time(flask.out_at), 3.4, font_weight="700"))
    return marks


def _begun(plan: PlanSheet, label: str) -> datetime | None:
    """When the flask's powder meets water; None if it was mixed before this plan."""
    mixes: Sequence[datetime] = [step.at for step in plan.steps if step.do is Do.MIX and label in step.flasks]
    return min(mixes, default=None)
