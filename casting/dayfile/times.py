"""Readers of the time zone, the first pour and the studio hours; the instants of a plan file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from functools import cache, lru_cache
from importlib import resources
from zoneinfo import ZoneInfo

from casting.calc.values.day_input import WorkingDay
from casting.calc.values.errors import Refused
from casting.calc.values.local_clock import LocalClock
from casting.calc.values.sentence import or_again, say
from casting.dayfile.validation import check_list, check_object, check_text, nullable, read_fields, refusal, step_in

LOCAL_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?(Z|[+-][0-9]{2}:[0-5][0-9])?"
)
CLOCK_TIME = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")
YEARS = (1980, 2200)
DAYS_BEFORE, DAYS_AFTER = 8, 1
LAST_MINUTE = time(23, 59)
"""A closing time of 23:59 is midnight, so that somebody can be there all night."""

Span = tuple[time, time]
"""When the first one comes and the last one goes, on the clock."""


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
        raise refusal(place, text, "a plan counts whole minutes from it", say("write {time}", time=whole))
    if not YEARS[0] <= typed.year <= YEARS[1]:
        wrong = say("the year must be {first} to {last}", first=YEARS[0], last=YEARS[1])
        raise refusal(place, text, wrong, "correct the year")
    if typed.tzinfo is not None:
        return typed.astimezone(UTC).astimezone(zone)
    first, second = (_instant(typed, zone, fold) for fold in (0, 1))
    if first == second:
        return first.astimezone(zone)
    meant = or_again([each.astimezone(zone).isoformat(timespec="minutes") for each in sorted((first, second))])
    if first > second:
        wrong = say("the clocks of {zone} go forward over it, so there is no such time", zone=zone.key)
    else:
        wrong = say("the clocks of {zone} go back over it, so it happens twice", zone=zone.key)
    raise refusal(place, text, wrong, say("write {time}", time=meant))


def _instant(local: datetime, zone: ZoneInfo, fold: int) -> datetime:
    """Return a local time as the instant it names, by its first or second meaning."""
    return local.replace(tzinfo=zone, fold=fold).astimezone(UTC)


def read_hours(value: object, place: str, pour_at: datetime, zone: ZoneInfo) -> tuple[WorkingDay, ...]:
    """Return the days around the pour on which somebody is there, in minutes from it; none if no hours are given."""
    if value is None:
        return ()
    hours = read_fields(value, place, HOURS, ("hand_in_until", "days"))
    usual, until = (hours["opens"], hours["closes"]), hours.get("hand_in_until")
    _refuse_backwards(usual, step_in(place, "closes"))
    days = [pour_at.date() + timedelta(days=nth) for nth in range(-DAYS_BEFORE, DAYS_AFTER + 1)]
    own = _own_hours(hours.get("days"), step_in(place, "days"), days)
    open_days = [(day, span) for day in days if (span := own.get(day, usual)) is not None]
    if not open_days:
        wrong = say(
            "nobody is ever there from {first} to {last}; give the hours of one day at least.", **_span_of(days)
        )
        raise Refused(step_in(place, "days"), wrong)

    def minutes(day: date, clock: time) -> int:
        if clock == LAST_MINUTE:
            day, clock = day + timedelta(days=1), time(0)
        return minutes_from(pour_at, datetime.combine(day, clock, tzinfo=zone))

    return tuple(
        WorkingDay(
            opens=minutes(day, opens),
            closes=minutes(day, closes),
            hand_in_until=minutes(day, until) if until is not None else None,
            midnight=minutes(day, time(0)),
            lasts_min=minutes(day + timedelta(days=1), time(0)) - minutes(day, time(0)),
        )
        for day, (opens, closes) in open_days
    )


def _span_of(days: Sequence[date]) -> dict[str, str]:
    """The first and the last of some days, as figures of a sentence."""
    return {"first": str(days[0]), "last": str(days[-1])}


def _own_hours(value: object, place: str, days: Sequence[date]) -> dict[date, Span | None]:
    """The hours of single days, None for a day on which nobody is there."""
    if value is None:
        return {}
    found: dict[date, Span | None] = {}
    for name, hours in check_object(value, place).items():
        here, known = step_in(place, name), {day.isoformat(): day for day in days}
        if name not in known:
            wrong = say("it is no day from {first} to {last}, which are all that this pour touches", **_span_of(days))
            raise refusal(here, name, wrong, say("write a day as in {day}, or take it out", day=str(days[0])))
        found[known[name]] = None if hours is None else _span(hours, here)
    return found


def _span(value: object, place: str) -> Span:
    """From when until when somebody is there."""
    clocks = check_list(value, place)
    if len(clocks) != 2:
        raise refusal(place, value, "a day has two times, when somebody comes and when the last one goes",
                      'write them as in ["09:00", "18:30"], or null if nobody is there')  # fmt: skip
    span = (_clock_time(clocks[0], f"{place}[0]"), _clock_time(clocks[1], f"{place}[1]"))
    _refuse_backwards(span, f"{place}[1]")
    return span


def _refuse_backwards(span: Span, place: str) -> None:
    opens, closes = span
    if closes <= opens:
        wrong = say("the studio opens at {time}", time=f"{opens:%H:%M}")
        raise refusal(place, f"{closes:%H:%M}", wrong, "swap the two")


def _clock_time(value: object, place: str) -> time:
    text = check_text(value, place)
    match = CLOCK_TIME.fullmatch(text)
    if not match:
        raise refusal(place, text, "it is no time on the clock", "write hours and minutes, as in 09:00")
    return time(int(match[1]), int(match[2]))


HOURS = {
    "opens": _clock_time,
    "closes": _clock_time,
    "hand_in_until": nullable(_clock_time),
    "days": lambda value, place: value,
}


@lru_cache(maxsize=64)
def local_clock(pour_at: datetime, zone: ZoneInfo) -> LocalClock:
    """Return the studio's clock around a pour, as far as its hours are known and two days on."""
    pour = pour_at.astimezone(UTC)

    def ahead(minute: int) -> int:
        return round((show_at(pour_at, minute, zone).utcoffset() or timedelta()) / timedelta(minutes=1))

    day_min = 24 * 60
    offsets = [(-(DAYS_BEFORE + 1) * day_min, ahead(-(DAYS_BEFORE + 1) * day_min))]
    for hour in range(offsets[0][0], (DAYS_AFTER + 2) * day_min, 60):
        if ahead(hour + 60) != offsets[-1][1]:
            change = next(minute for minute in range(hour, hour + 61) if ahead(minute) != offsets[-1][1])
            offsets.append((change, ahead(change)))
    monday = datetime.combine(pour.date() - timedelta(days=pour.weekday()), time(0), tzinfo=UTC)
    return LocalClock(minutes_from(monday, pour), tuple(offsets))


def minutes_from(pour_at: datetime, at: datetime) -> int:
    """Return the minutes from the first pour to an instant, negative before it."""
    return round((at.astimezone(UTC) - pour_at.astimezone(UTC)) / timedelta(minutes=1))


def is_before(at: datetime, other: datetime) -> bool:
    """Return whether an instant lies in an earlier minute than another: a time that somebody types has no more."""
    return at.replace(second=0, microsecond=0) < other.replace(second=0, microsecond=0)


def to_the_minute(at: datetime) -> datetime:
    """Return an instant that is a whole minute, the next where it is none: a wait that ends then is never short."""
    whole = at.replace(second=0, microsecond=0)
    return whole if whole == at else whole + timedelta(minutes=1)


def read_past(value: object, place: str, pour_at: datetime, zone: ZoneInfo, now: int | None) -> int:
    """Return when something was done, in minutes from the first pour; it is not after now."""
    at = minutes_from(pour_at, read_pour_at(value, place, zone))
    if now is not None and at > now:
        raise refusal(place, value, "that is after `now`", "write when it was really done")
    return at


def show(pour_at: datetime, minutes: int, zone: ZoneInfo) -> str:
    """Return the time some minutes from the first pour, with the zone's offset at that instant."""
    return show_at(pour_at, minutes, zone).isoformat(timespec="seconds")


def show_at(pour_at: datetime, minutes: int, zone: ZoneInfo) -> datetime:
    """Return the instant some minutes from the first pour, on the zone's clock."""
    return (pour_at.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(zone)
