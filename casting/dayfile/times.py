"""Readers of the time zone, the first pour and the studio hours; the instants of a plan file."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from importlib import resources
from zoneinfo import ZoneInfo

from casting.calc.values.day_input import WorkingDay
from casting.calc.values.errors import Refused
from casting.dayfile.validation import check_text, nullable, read_fields, refusal, step_in

LOCAL_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?(Z|[+-][0-9]{2}:[0-5][0-9])?"
)
CLOCK_TIME = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")
YEARS = (1980, 2200)
DAYS_BEFORE, DAYS_AFTER = 8, 1


@cache
def zone_names() -> frozenset[str]:
    """Return the names of all zones."""
    return frozenset(resources.files("tzdata").joinpath("zones").read_text("utf-8").split())


def read_zone(value: object, place: str) -> ZoneInfo:
    """Return the zone of a name, from the zones that come with the program."""
    name = check_text(value, place)
    if name not in zone_names():
        raise refusal(place, name, "it is no time zone", "name one as in America/Denver")
    return _zone(name)


@cache
def _zone(name: str) -> ZoneInfo:
    with resources.files("tzdata").joinpath("zoneinfo", *name.split("/")).open("rb") as file:
        return ZoneInfo.from_file(file, key=name)


def read_pour_at(value: object, place: str, zone: ZoneInfo) -> datetime:
    """Return the instant of the first pour, in the zone."""
    text = check_text(value, place)
    if not LOCAL_TIME.fullmatch(text):
        raise refusal(place, text, "it is no time of a day", "write it as 2027-03-14T10:00, with an offset if need be")
    try:
        typed = datetime.fromisoformat(text)
    except ValueError:
        raise refusal(place, text, "there is no such day or time", "look at the calendar") from None
    if typed.second:
        whole = typed.replace(second=0).isoformat(timespec="minutes")
        raise refusal(place, text, "a plan counts whole minutes from it", f"write {whole}")
    if not YEARS[0] <= typed.year <= YEARS[1]:
        raise refusal(place, text, f"the year must be {YEARS[0]} to {YEARS[1]}", "correct the year")
    if typed.tzinfo is not None:
        return typed.astimezone(UTC).astimezone(zone)
    first, second = (_instant(typed, zone, fold) for fold in (0, 1))
    if first == second:
        return first.astimezone(zone)
    names = " or ".join(each.astimezone(zone).isoformat(timespec="minutes") for each in sorted((first, second)))
    if first > second:
        wrong = f"the clocks of {zone.key} go forward over it, so there is no such time"
    else:
        wrong = f"the clocks of {zone.key} go back over it, so it happens twice"
    raise refusal(place, text, wrong, f"write {names}")


def _instant(local: datetime, zone: ZoneInfo, fold: int) -> datetime:
    """Return a local time as the instant it names, by its first or second meaning."""
    return local.replace(tzinfo=zone, fold=fold).astimezone(UTC)


def read_hours(value: object, place: str, pour_at: datetime, zone: ZoneInfo) -> tuple[WorkingDay, ...]:
    """Return the working days around the pour, in minutes from it; none if no hours are given."""
    if value is None:
        return ()
    hours = read_fields(value, place, HOURS, ("hand_in_until",))
    opens, closes, until = hours["opens"], hours["closes"], hours.get("hand_in_until")
    if closes <= opens:
        raise Refused(
            step_in(place, "closes"),
            f'"{closes:%H:%M}" stands here, but the studio opens at {opens:%H:%M}; swap the two.',
        )

    def minutes(day: date, clock: time) -> int:
        local = datetime.combine(day, clock, tzinfo=zone)
        return round((local.astimezone(UTC) - pour_at.astimezone(UTC)) / timedelta(minutes=1))

    days = [pour_at.date() + timedelta(days=nth) for nth in range(-DAYS_BEFORE, DAYS_AFTER + 1)]
    return tuple(
        WorkingDay(
            opens=minutes(day, opens),
            closes=minutes(day, closes),
            hand_in_until=minutes(day, until) if until is not None else None,
            midnight=minutes(day, time(0)),
        )
        for day in days
    )


def _clock_time(value: object, place: str) -> time:
    text = check_text(value, place)
    match = CLOCK_TIME.fullmatch(text)
    if not match:
        raise refusal(place, text, "it is no time on the clock", "write hours and minutes, as in 09:00")
    return time(int(match[1]), int(match[2]))


HOURS = {"opens": _clock_time, "closes": _clock_time, "hand_in_until": nullable(_clock_time)}


def minutes_from(pour_at: datetime, at: datetime) -> int:
    """Return the minutes from the first pour to an instant, negative before it."""
    return round((at.astimezone(UTC) - pour_at.astimezone(UTC)) / timedelta(minutes=1))


def read_past(value: object, place: str, pour_at: datetime, zone: ZoneInfo, now: int | None) -> int:
    """Return when something was done, in minutes from the first pour; it is not after now."""
    at = minutes_from(pour_at, read_pour_at(value, place, zone))
    if now is not None and at > now:
        raise refusal(place, value, "that is after `now`", "write when it was really done")
    return at


def show(pour_at: datetime, minutes: int, zone: ZoneInfo) -> str:
    """Return the time some minutes from the first pour, with the zone's offset at that instant."""
    at = pour_at.astimezone(UTC) + timedelta(minutes=minutes)
    return at.astimezone(zone).isoformat(timespec="seconds")
