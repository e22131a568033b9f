"""The day as a calendar file (RFC 5545): what people put into their calendars, with the school's zone beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import NAMESPACE_OID, uuid5
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _
from icalendar import Calendar, Event, vDatetime

from casting.calc.values.enums import Do
from casting.models import CastingDay, Plan
from casting.presenters.formats import clock_time, degrees
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import KilnNight, PlanSheet
from casting.selectors.mishaps import mishaps_noted


@dataclass(frozen=True, slots=True)
class Entry:
    """One event; `key` tells it from the day's others for as long as the day lives, however often it is planned."""

    key: str
    title: str
    at: datetime
    until: datetime
    note: str = ""
    cancelled: bool = False
    """True of what does not happen any more; it stays in the file, so that a calendar that has it strikes it."""


def entries_of(opened: OpenedPlan) -> tuple[Entry, ...]:
    """Return what happens on the day of a plan, in order: one entry for what a calendar should remind of."""
    return tuple(sorted(_entries(opened), key=lambda entry: (entry.at, entry.key)))


def calendar_file(opened: OpenedPlan) -> bytes:
    """Return the day of a plan as an iCalendar file: a later revision, or mishap, replaces the events before it.

    One query.
    """
    return written(entries_of(opened), opened.plan.day, "", state_of(opened.plan))


def state_of(plan: Plan) -> tuple[int, datetime]:
    """Return the number of a plan's events and their time: higher with each revision, mishap and taking back."""
    many, last = mishaps_noted(plan.day)
    return plan.revision + many, max(plan.made_at, last or plan.made_at)


def written(entries: Iterable[Entry], day: CastingDay, of: str, state: tuple[int, datetime]) -> bytes:
    """Return entries of a day as an iCalendar file; `of` tells the events of one reader from those of another.

    Times are the school's, with its zone in the file; one that comes twice, as the clocks go back, is written in UTC,
    since RFC 5545 takes it for the first.
    """
    calendar, school, (sequence, made_at) = Calendar(), day.course.school, state
    of_day = f"{school.slug}/{school.created.isoformat()}/{day.pk}{of}"
    calendar.add("prodid", "-//Class casting day//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for entry in entries:
        event = Event()
        event.add("uid", str(uuid5(NAMESPACE_OID, f"{of_day}/{entry.key}")))
        event.add("sequence", sequence)
        event.add("dtstamp", made_at.astimezone(UTC))
        event["dtstart"] = _moment(entry.at, school.tz)
        if entry.until > entry.at:
            event["dtend"] = _moment(entry.until, school.tz)
        event.add("summary", entry.title)
        event.add("location", school.name)
        if entry.cancelled:
            event.add("status", "CANCELLED")
        if entry.note:
            event.add("description", entry.note)
        calendar.add_component(event)
    calendar.add_missing_timezones()
    return bytes(calendar.to_ical())


def _moment(at: datetime, zone: ZoneInfo) -> vDatetime:
    """A time on the school's clock, or in UTC where that clock shows it a second time."""
    local = at.astimezone(zone)
    return vDatetime(at.astimezone(UTC) if local.fold else local)


def _entries(opened: OpenedPlan) -> Iterator[Entry]:
    sheet = opened.sheet
    for step in sheet.steps:
        if step.do is Do.HAND_IN_CLOSES:
            yield Entry("hand-in", _("Hand-in closes"), step.at, step.at, step.say)
        elif step.do is Do.MOUNT:
            yield Entry("mount", _("Mount the waxes"), step.at, step.until, step.say)
    bowls = [bowl for bowl in sheet.bowls if bowl.at and bowl.until and not bowl.done]
    if bowls:
        lines = [f"{clock_time(bowl.at)} {', '.join(bowl.flasks)}" for bowl in bowls if bowl.at]
        first, last = min(bowl.at for bowl in bowls if bowl.at), max(bowl.until for bowl in bowls if bowl.until)
        yield Entry("mix", _("Mix the investment"), first, last, "\n".join(lines))
    for night in sheet.kilns:
        yield from _night(night, opened)
    yield from _pours(sheet)


def _pours(sheet: PlanSheet) -> Iterator[Entry]:
    """The pours that are to come with what is lost, and the pick-up; a day on which all is lost has neither."""
    to_pour, lost = ([flask for flask in sheet.flasks if getattr(flask, one)] for one in ("to_pour", "is_lost"))
    all_lost = bool(lost) and len(lost) == len(sheet.flasks)
    if to_pour or all_lost:
        lines = [f"{clock_time(flask.out_at)} {flask.label}" for flask in to_pour]
        lines += [f"{flask.label}: {flask.mishap.words}" for flask in lost if flask.mishap]
        waits = {flask.label for flask in to_pour or lost}
        ends = max(step.until for step in sheet.steps_of(Do.POUR) if waits & set(step.flasks))
        title = _("No flask is poured") if all_lost else _("First pour")
        yield Entry("pour", title, (to_pour or lost)[0].out_at, ends, "\n".join(lines), all_lost)
    gone = {flask.label for flask in lost}
    divested = [step.at for step in sheet.steps_of(Do.DIVEST) if all_lost or set(step.flasks) - gone]
    if divested:
        title = _("Pick-up: the last flask is cleaned out by now")
        yield Entry("pick-up", title, max(divested), max(divested), cancelled=all_lost)


def _night(night: KilnNight, opened: OpenedPlan) -> Iterator[Entry]:
    """A kiln's switching on and its top heat; neither comes if all its flasks were lost before."""
    empty = not night.is_on and bool(night.flasks) and all(flask.is_lost for flask in night.flasks)
    on = _("%(kiln)s on") % {"kiln": night.named}
    yield Entry(f"kiln/{night.kiln.key}", on, night.on_at, night.on_at, cancelled=empty)
    top = max(night.segments, key=lambda segment: segment.to_c)
    heat = degrees(top.to_c, opened.units)
    title = _("%(kiln)s at its top heat, %(heat)s") % {"kiln": night.named, "heat": heat}
    yield Entry(f"top/{night.kiln.key}", title, top.reached_at, top.ends_at, cancelled=empty)
