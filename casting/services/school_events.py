"""What the casting days do when something happens in a school: the school tells it by signals and knows no listener."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any

from django.utils import timezone

from casting.models import CastingDay
from casting.services.stock import stock_school
from school.changing import same_clock
from school.models import School
from school.signals import clock_kept, school_made, zone_asked


def stock_new_school(school: School, **_signal: Any) -> None:
    """Stock a school that has just been made."""
    stock_school(school)


def days_ahead(school: School, **_signal: Any) -> list[tuple[str, dt.datetime]]:
    """Return the announced days that are not over: the class's name and the first pour."""
    days = CastingDay.objects.filter(course__school=school, pour_at__gt=timezone.now())
    return list(days.values_list("course__name", "pour_at"))


def keep_clock(school: School, before: zoneinfo.ZoneInfo, **_signal: Any) -> None:
    """Give the days ahead the same clock times in the school's new zone."""
    for day in CastingDay.objects.select_for_update().filter(course__school=school, pour_at__gt=timezone.now()):
        day.pour_at = same_clock(day.pour_at, before, school.tz)
        if day.hand_in_closes_at is not None:
            day.hand_in_closes_at = same_clock(day.hand_in_closes_at, before, school.tz)
        day.save(update_fields=["pour_at", "hand_in_closes_at"])


def listen() -> None:
    """Connect the casting days to what happens in a school."""
    school_made.connect(stock_new_school, dispatch_uid="stock_new_school")
    zone_asked.connect(days_ahead, dispatch_uid="days_ahead")
    clock_kept.connect(keep_clock, dispatch_uid="keep_clock")
