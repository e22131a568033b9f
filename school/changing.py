"""What a teacher changes of the school itself, seen by the other teachers, and what a changed time zone moves."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from school.models import Person, School
from school.signals import clock_kept, zone_asked


class Outdated(Exception):
    """Somebody else saved the school's page in the meantime: `now` is the school as it is."""

    def __init__(self, now: School) -> None:
        self.now = now
        super().__init__(now.name)


@transaction.atomic
def change_school(
    school: School, columns: Mapping[str, Any], *, version: int, by: Person, keep_clock: bool = False
) -> School:
    """Write columns of a school if it still is the version that was looked at.

    With `keep_clock` what lies ahead keeps its clock time in another time zone, else its instant. Raises `Outdated`.
    """
    now = School.objects.select_for_update().get(pk=school.pk)
    if now.version != version:
        raise Outdated(now)
    before = now.tz
    for name, value in columns.items():
        setattr(now, name, value)
    now.version, now.changed_by, now.changed_at = version + 1, by.name, timezone.now()
    now.save()
    if keep_clock and now.tz != before:
        for course in now.courses.filter(open_until__gt=now.changed_at):
            course.open_until = same_clock(course.open_until, before, now.tz)
            course.save(update_fields=["open_until"])
        clock_kept.send(sender=School, school=now, before=before)
    return now


def same_clock(at: dt.datetime, before: zoneinfo.ZoneInfo, after: zoneinfo.ZoneInfo) -> dt.datetime:
    """Return the instant at which a clock in another zone shows the same date and time."""
    return at.astimezone(before).replace(tzinfo=after)


def ahead_of(school: School) -> list[tuple[str, dt.datetime]]:
    """Return what lies ahead in a school and has an hour, as its listeners tell: name and instant, in order."""
    answers: list[Any] = [told for _listener, told in zone_asked.send(sender=School, school=school)]
    return sorted((one for told in answers for one in told), key=lambda one: (one[1], one[0]))
