"""The clock change of a plan's night: when the clocks go forward or back, and which of two equal times is meant."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from casting.presenters.formats import clock_time, day_clock, minutes, which_of_two

NO_BREAK = "\u00a0"
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class ClockChange:
    """The moment at which a clock is set: what it shows before (`at`) and after (`to`)."""

    at: datetime
    to: datetime

    @property
    def back(self) -> bool:
        """True if the clock is set back, so that a stretch of times comes twice."""
        return self.by_min < 0

    @property
    def by_min(self) -> int:
        """How far the clock is set [min]; negative if back."""
        return round((self.to.replace(tzinfo=None) - self.at.replace(tzinfo=None)) / MINUTE)

    @property
    def words(self) -> str:
        """Which way the clock is set, and how far."""
        by = {"by": minutes(abs(self.by_min)).replace(" ", NO_BREAK)}
        return (_("clock back %(by)s") if self.back else _("clock forward %(by)s")) % by

    @property
    def line(self) -> str:
        """A line for every sheet and page with times of that night."""
        moment = f"{day_clock(self.at)} → {clock_time(self.to)}, {self.words}."
        if self.back:
            return f"{moment} " + _("The times between come twice: first, then second.")
        return f"{moment} " + _("The times between do not come.")


def instant(text: str, zone: ZoneInfo) -> datetime:
    """Return an instant of a plan file with its own offset, named first or second if its clock time comes twice.

    The offset stays fixed: times of one zone would be compared by their clocks, an hour wrong in such a night.
    """
    at = datetime.fromisoformat(text)
    which, offset = which_of_two(at.astimezone(zone)), at.utcoffset()
    return at.replace(tzinfo=timezone(offset, which)) if which and offset is not None else at


def changes_among(instants: Iterable[datetime], zone: ZoneInfo) -> tuple[ClockChange, ...]:
    """Return each clock change between the first and the last of some instants, to the minute."""
    every = sorted(at.astimezone(UTC) for at in instants)
    if not every:
        return ()
    found, now = [], every[0]
    while now < every[-1]:
        later = min(now + HOUR, every[-1])
        if _offset(now, zone) != _offset(later, zone):
            found.append(_change_between(now, later, zone))
        now = later
    return tuple(found)


def _change_between(now: datetime, later: datetime, zone: ZoneInfo) -> ClockChange:
    """The first minute with the later offset, on both clocks."""
    before, after = _offset(now, zone), _offset(later, zone)
    while _offset(now, zone) == before:
        now += MINUTE
    now = now.replace(second=0, microsecond=0)
    return ClockChange(now.astimezone(timezone(before)), now.astimezone(timezone(after)))


def _offset(at: datetime, zone: ZoneInfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta(0)
