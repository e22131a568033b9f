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
from casting.models import CastingDay
from casting.presenters.formats import clock_time, degrees
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import KilnNight


@dataclass(frozen=True, slots=True)
class Entry:
    """One event; `key` tells it from the day's others for as long as the day lives, however often it is planned."""

    key: str
    title: str
    at: datetime
    until: datetime
    note: str = ""


def entries_of(opened: OpenedPlan) -> tuple[Entry, ...]:
    """Return what happens on the day of a plan, in order: one entry for what a calendar should remind of."""
    return tuple(sorted(_entries(opened), key=lambda entry: (entry.at, entry.key)))


def calendar_file(opened: OpenedPlan) -> bytes:
    """Return the day of a plan as an iCalendar file; a later revision replaces the events of an earlier one."""
    plan = opened.plan
    return written(entries_of(opened), plan.day, "", plan.revision, plan.made_at)


def written(entries: Iterable[Entry], day: CastingDay, of: str, revision: int, made_at: datetime) -> bytes:
    """Return entries of a day as an iCalendar file; `of` tells the events of one reader from those of another.

    Times are the school's, with its zone in the file; one that comes twice, as the clocks go back, is written in UTC,
    since RFC 5545 takes it for the first.
    """
    calendar, school = Calendar(), day.course.school
    of_day = f"{school.slug}/{school.created.isoformat()}/{day.pk}{of}"
    calendar.add("prodid", "-//Class casting day//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    for entry in entries:
        event = Event()
        event.add("uid", str(uuid5(NAMESPACE_OID, f"{of_day}/{entry.key}")))
        event.add("sequence", revision)
        event.add("dtstamp", made_at.astimezone(UTC))
        event["dtstart"] = _moment(entry.at, school.tz)
        if entry.until > entry.at:
            event["dtend"] = _moment(entry.until, school.tz)
        event.add("summary", entry.title)
        event.add("location", school.name)
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
    to_pour = [flask for flask in sheet.flasks if not flask.poured]
    if to_pour:
        lines = [f"{clock_time(flask.out_at)} {flask.label}" for flask in to_pour]
        ends = max(step.until for step in sheet.steps if step.do is Do.POUR)
        yield Entry("pour", _("First pour"), to_pour[0].out_at, ends, "\n".join(lines))
    divested = [step.at for step in sheet.steps if step.do is Do.DIVEST]
    if divested:
        yield Entry("pick-up", _("Pick-up: the last flask is cleaned out by now"), max(divested), max(divested))


def _night(night: KilnNight, opened: OpenedPlan) -> Iterator[Entry]:
    """A kiln's switching on and its top heat."""
    yield Entry(f"kiln/{night.kiln.key}", _("%(kiln)s on") % {"kiln": night.named}, night.on_at, night.on_at)
    top = max(night.segments, key=lambda segment: segment.to_c)
    heat = degrees(top.to_c, opened.units)
    title = _("%(kiln)s at its top heat, %(heat)s") % {"kiln": night.named, "heat": heat}
    yield Entry(f"top/{night.kiln.key}", title, top.reached_at, top.ends_at)
