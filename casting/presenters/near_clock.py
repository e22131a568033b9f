"""A time by its weekday while that says which day is meant, else with its date."""

from __future__ import annotations

from datetime import datetime, timedelta

from casting.presenters.formats import day_clock, stamp

NEAR = timedelta(days=6)


def near_clock(at: datetime, now: datetime) -> str:
    """Return the weekday and the time while no other day of that name is as near, else the date too."""
    return day_clock(at) if abs(at - now) < NEAR else stamp(at)
