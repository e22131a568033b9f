"""The kiln room's schedule: clock, temperature and a verb a row, read from two metres away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.dayfile.rules_file import rulebook
from casting.drawings.kiln_curve import draw_kiln_curve
from casting.papers.print_job import PlanPrintJob
from casting.presenters.cautions import safety_record_of
from casting.presenters.clock_change import ClockChange
from casting.presenters.formats import (
    SchoolUnits,
    degrees_at_least,
    degrees_number,
    first_or_second,
    hour_minute,
    weekday,
)
from casting.presenters.from_memory import heat_mark
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.people import PeopleBeside, on_call_of, people_beside
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, PlanSheet, SegmentLine

ROWS_A_SHEET = 7
"""As many rows as can be read from two metres away on one landscape sheet."""

MANY_TURNS = 6
"""With more turns of the kiln than these its back is set in smaller type."""

ROW_MM = 18.9
"""A row, as the style sheet has it."""
SPARE_MM = 5.0
"""What the foot of a sheet leaves besides, unless whom to call takes all its lines."""
LEAST_CURVE_MM = 35.0
"""Lower, a firing's line would be all but flat: its clock, its bar and its figures alone take 20 mm."""

LONG_CALL = 80
"""So is every back if whom to call, and how, takes more letters than these: it is printed in full there."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to do at a kiln; no temperature where nothing is read.

    A hold lasts `until`; a kiln is on `since`; `then_c` is where the kiln goes after it, `then_off` that it is
    switched off. What the plan gives no time is not `timed`. What is `done` is not done again: its verb says so,
    or is `struck`. `people` says what stands beside it where nobody is there.
    """

    at: datetime
    verb: str
    to_c: float | None
    until: datetime | None = None
    then_c: float | None = None
    then_off: bool = False
    new_day: bool = False
    done: bool = False
    struck: bool = False
    change: ClockChange | None = None
    flask: FlaskSheet | None = None
    since: datetime | None = None
    timed: bool = True
    people: str = ""

    @property
    def is_lost(self) -> bool:
        """Whether its flask is not poured any more."""
        return self.flask is not None and self.flask.is_lost

    @property
    def still_turns(self) -> bool:
        """Whether the kiln is set to another temperature then all the same, for the flasks that come after it."""
        return self.is_lost and self.then_c is not None and not self.struck

    @property
    def began(self) -> str:
        """Since when a kiln is on, with the weekday if that is not the row's."""
        if self.since is None:
            return ""
        day = "" if self.since.date() == self.at.date() else f"{weekday(self.since)} "
        return day + hour_minute(self.since)

    @property
    def ends(self) -> str:
        """When a hold ends, with the weekday past midnight; its "first" or "second" stands in `ends_which`."""
        if self.until is None:
            return ""
        day = "" if self.until.date() == self.at.date() else f"{weekday(self.until)} "
        return day + hour_minute(self.until)

    @property
    def ends_which(self) -> str:
        """Which of two equal times a hold ends at; nothing on other nights."""
        return first_or_second(self.until) if self.until else ""

    @property
    def lasts_min(self) -> int | None:
        """How long it lasts by a stopwatch, if the clock on the wall is set meanwhile or shows its times twice."""
        if self.until is None:
            return None
        told = self.until.utcoffset() != self.at.utcoffset() or first_or_second(self.at) or self.ends_which
        return round((self.until.astimezone(UTC) - self.at.astimezone(UTC)) / timedelta(minutes=1)) if told else None


@dataclass(frozen=True, slots=True)
class FarSheet:
    """What is read from two metres away: at most seven rows, and which part of the firing they are.

    `onward` is the first row of the next sheet, if that is of the same part: it may hang on this sheet's back.
    The kiln only falls where it `falls`, and its door is opened for each pour. Its firing is drawn as a `curve` on the
    first sheet whose rows leave room; if they fill every one, on the back of the first.
    """

    part: str
    rows: tuple[Row, ...]
    onward: Row | None = None
    falls: bool = False
    curve: SafeString | None = None

    @property
    def turns(self) -> bool:
        """True if the kiln is set to another temperature on this sheet."""
        return any(row.then_c is not None for row in self.rows)


@dataclass(frozen=True, slots=True)
class HeatRow:
    """The flasks that stand in a kiln for one temperature."""

    flask_c: int
    flasks: tuple[FlaskSheet, ...]


@dataclass(frozen=True, slots=True)
class KilnSheets:
    """One kiln: its far sheets, and its shelf and firing for their back; the `curve` too if no front has room."""

    night: KilnNight
    sheets: tuple[FarSheet, ...]
    curve: SafeString | None = None

    @property
    def heats(self) -> tuple[HeatRow, ...]:
        """The temperatures that its flasks are poured at, as they come."""
        heats = dict.fromkeys(flask.flask_c for flask in self.night.flasks)
        return tuple(HeatRow(c, tuple(one for one in self.night.flasks if one.flask_c == c)) for c in heats)

    @property
    def all_poured(self) -> bool:
        """True if no flask of it waits for its pour any more."""
        return all_poured(self.night)

    @property
    def has_lost(self) -> bool:
        """Whether one of them is lost."""
        return any(flask.is_lost for flask in self.night.flasks)

    @property
    def off_at(self) -> datetime:
        """When its last flask that is poured is out, or its firing ends if none is."""
        return max(
            [flask.out_at for flask in self.night.flasks if not flask.is_lost] or [self.night.segments[-1].ends_at]
        )

    @property
    def odd(self) -> bool:
        """True if the back of its last sheet is left, which must not be the next kiln's front."""
        return len(self.sheets) % 2 == 0

    @property
    def many_turns(self) -> bool:
        """True if the list of its firing is long."""
        return len(self.night.segments) > MANY_TURNS


def kiln_room_html(job: PlanPrintJob) -> str | None:
    """Return the page of the schedule, or None if no kiln is fired."""
    opened = job.opened
    if not opened.sheet.kilns:
        return None
    record = safety_record_of(opened.school)
    who = on_call_of(opened.plan.day, record)
    people = people_beside(opened.plan.file, opened.day, who)
    contact, emergency = (one or _("not recorded") for one in (who or record.contact, record.emergency_number))
    context = job.context() | {
        "contact": contact,
        "emergency": emergency,
        "long_call": (long_call := len(contact + emergency) > LONG_CALL),
        "kilns": [_kiln(opened, night, people, long_call) for night in opened.sheet.kilns],
        "door_shut": degrees_at_least(rulebook().limit("door_shut_to_c"), opened.units),
        "not_reheated_below": degrees_at_least(rulebook().limit("reheat_from_c"), opened.units),
    }
    return render_to_string("papers/kiln_room.html", context)


def _kiln(opened: OpenedPlan, night: KilnNight, people: PeopleBeside, long_call: bool) -> KilnSheets:
    """A kiln's sheets, its firing drawn on the first that has room for it, else on the back, unless that is over."""
    sheets = list(sheets_of(*rows_of(opened.sheet, night, people)))
    if all_poured(night):
        return KilnSheets(night, tuple(sheets))

    def curve(high_mm: float) -> SafeString:
        return draw_kiln_curve(opened.sheet, night, lambda heat: _figure(heat, night, opened.units), high_mm)

    for nth, far in enumerate(sheets):
        free_mm = (ROWS_A_SHEET - len(far.rows)) * ROW_MM - 1.5 + (0 if long_call else SPARE_MM)
        if free_mm >= LEAST_CURVE_MM:
            sheets[nth] = replace(far, curve=curve(free_mm))
            return KilnSheets(night, tuple(sheets))
    return KilnSheets(night, tuple(sheets), curve(LEAST_CURVE_MM))


def _figure(celsius: float, night: KilnNight, units: SchoolUnits) -> str:
    """A temperature as it stands on the curve: its unit is that of the rows."""
    return f"{degrees_number(celsius, units)}°{heat_mark(night, celsius)}"


def rows_of(sheet: PlanSheet, night: KilnNight, people: PeopleBeside | None = None) -> tuple[list[Row], list[Row]]:
    """Return what is done at a kiln by night, and from its soak on; each in order.

    No row is a turn of the kiln: where it goes next stands beside the hold that ends, or beside the
    last pour before it; so do `people`, where nobody is there.
    """
    first_pour = min((flask.out_at for flask in night.flasks), default=None)
    by_night = [one for one in night.segments if first_pour is None or one.ends_at < first_pour]
    then = [*(one.to_c for one in night.segments[1:]), None]
    holds = [_hold(segment, then_c) for segment, then_c in zip(by_night, then, strict=False)]
    on = Row(night.on_at, _("KILN ON"), None, then_c=night.segments[0].to_c)
    if night.on_since:
        on = replace(on, verb=_("ON"), done=True, since=night.on_since)
    rows = [*_loading(sheet, night), on, *holds], _pours(night, night.segments[len(by_night) :])
    if people:
        before, after = ([_with_people(row, night, people) for row in part] for part in rows)
        rows = before, after
    for change in sheet.clock_changes:
        _put_in(change, *rows)
    if not all_poured(night):
        return rows
    # Nobody fires an empty kiln.
    before, pours = ([row if row.done else replace(row, done=True, struck=True) for row in part] for part in rows)
    return before, pours


def _with_people(row: Row, night: KilnNight, people: PeopleBeside) -> Row:
    """A row with what stands beside it where nobody is there for it; what is done asks nobody."""
    if row.done or not row.timed:
        return row
    if row.flask or (row.to_c is None and row.then_c is None):
        return replace(row, people=people.by_hand(row.at, row.at))
    if row.to_c is None:
        return replace(row, people=people.switch_on(night.kiln.key))
    return replace(row, people=people.hold(night.kiln.key, row.at, row.until or row.at))


def _put_in(change: ClockChange, night: list[Row], pours: list[Row]) -> None:
    """Give a clock change its row in its place, unless it comes before the first row or after the last."""
    every = [*night, *pours]
    if not every or not every[0].at < change.at <= max(row.until or row.at for row in every):
        return
    part = pours if pours and pours[0].at < change.at else night
    nth = sum(row.at < change.at for row in part)
    part.insert(nth, Row(change.at, f"→ {hour_minute(change.to)}", None, change=change))


def all_poured(night: KilnNight) -> bool:
    """Tell whether a kiln's flasks, if it has any, are all poured or lost."""
    return bool(night.flasks) and not any(flask.to_pour for flask in night.flasks)


def _loading(sheet: PlanSheet, night: KilnNight) -> list[Row]:
    """The flasks go in together, as the studio closes or as the kiln goes on."""
    loads = [step.at for step in sheet.steps_of(Do.LOAD) if step.kiln == night.kiln.key]
    loaded = night.is_on
    if not loads and (loaded or not any(flask.invested for flask in night.flasks)):
        return []
    verb = _("LOADED") if loaded else _("LOAD %(count)d") % {"count": sum(not flask.is_lost for flask in night.flasks)}
    return [Row(min(loads, default=night.on_at), verb, None, done=loaded, timed=bool(loads))]


def _hold(segment: SegmentLine, then_c: float | None) -> Row:
    """A temperature that is held; GO ON where the kiln turns as it gets there."""
    if segment.ends_at == segment.reached_at:
        return Row(segment.reached_at, _("GO ON"), segment.to_c, then_c=then_c, done=segment.over, struck=segment.over)
    row = Row(segment.reached_at, _held(segment), segment.to_c, segment.ends_at, then_c)
    return replace(row, done=True, struck=True) if segment.over else row


def _held(segment: SegmentLine) -> str:
    """A kiln that has fallen soaks its flasks."""
    return _("SOAK") if segment.cooling else _("HOLD")


def _pours(night: KilnNight, segments: Sequence[SegmentLine]) -> list[Row]:
    """The soak and each pour, with where the kiln goes after it; off after the last flask that is poured."""
    rows = [Row(one.out_at, _pour(one), one.flask_c, done=not one.to_pour, flask=one) for one in night.flasks]
    for turn in segments[1:]:
        last = max(nth for nth, row in enumerate(rows) if row.at <= turn.starts_at)
        rows[last] = replace(rows[last], then_c=turn.to_c)
    if rows:
        off = max((nth for nth, row in enumerate(rows) if not row.is_lost), default=len(rows) - 1)
        rows[off] = replace(rows[off], then_off=True, then_c=None)
        rows[off + 1 :] = [replace(row, then_c=None) for row in rows[off + 1 :]]
    soaks = [Row(one.reached_at, _held(one), one.to_c) for one in segments[:1]]
    return [*soaks, *rows]


def _pour(flask: FlaskSheet) -> str:
    """What is to be done with a flask, or that it is done."""
    words = _("%(flask)s LOST") if flask.is_lost else _("%(flask)s POURED") if flask.poured else _("POUR %(flask)s")
    return words % {"flask": flask.label}


def sheets_of(night: Sequence[Row], pours: Sequence[Row]) -> tuple[FarSheet, ...]:
    """Return the rows by sheets: one if all find room, else the night's and the pours'.

    A soak that would cost the pours a second sheet ends the night's. The weekday stands on each
    sheet's first row and past each midnight.
    """
    if len(night) + len(pours) <= ROWS_A_SHEET:
        return (FarSheet("", _marked([*night, *pours])),)
    if len(pours) % ROWS_A_SHEET == 1:
        night, pours = [*night, pours[0]], pours[1:]
    parts = ((_("night"), night), (_("pours"), pours))
    return tuple(
        FarSheet(part, _marked(rows[first:after]), rows[after] if after < len(rows) else None, rows is pours)
        for part, rows in parts
        for first in range(0, len(rows), ROWS_A_SHEET)
        for after in (first + ROWS_A_SHEET,)
    )


def _marked(rows: Sequence[Row]) -> tuple[Row, ...]:
    """The rows with their weekdays; a clock change always has its own."""
    days = [None, *(row.at.date() for row in rows)]
    marked = zip(rows, days, strict=False)
    return tuple(replace(row, new_day=row.at.date() != before or row.change is not None) for row, before in marked)
