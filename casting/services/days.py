"""Announcing a casting day, changing it, closing its hand-in and opening it again: the only writers of casting days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time
from typing import Any

from django.db import transaction
from django.db.models import Case, F, QuerySet, When
from django.db.models.functions import Coalesce
from django.utils import timezone

from casting.models import Alloy, CastingDay, DayChange
from casting.services.day_shut import locked_open, refuse_if_shut
from casting.services.shelf import ChangedMeanwhile
from school.models import Course, Person


@dataclass(frozen=True, slots=True)
class DayEntry:
    """A teacher's entry for a casting day: its instants, the studio's hours on the school's clock, its metals.

    Of flask sizes and kilns the keys; None is all that the school works with. `torches`, `hands` and `melt_w` are the
    bench of this day; None is what the house rules say.
    """

    pour_at: datetime
    alloys: Iterable[Alloy]
    hand_in_closes_at: datetime | None = None
    opens: time | None = None
    closes: time | None = None
    hand_in_until: time | None = None
    gloss_off_min: float | None = None
    own_hours: Mapping[str, list[str] | None] = field(default_factory=dict)
    on_call: str = ""
    sizes_used: list[str] | None = None
    kilns_used: list[str] | None = None
    torches: int | None = None
    hands: int | None = None
    melt_w: float | None = None


COLUMNS = tuple(name for name in DayEntry.__dataclass_fields__ if name != "alloys")


@transaction.atomic
def announce(course: Course, entry: DayEntry, by: Person | None = None) -> CastingDay:
    """Write a casting day of a class once: the same entry sent again is the day that is there."""
    Course.objects.select_for_update().get(pk=course.pk)
    there = _same(course, entry)
    if there is not None:
        return there
    day = CastingDay(course=course)
    _write(day, entry, None)
    DayChange.objects.create(day=day, by_person=by, before=None, after=_recorded(day))
    return day


@transaction.atomic
def change(day: CastingDay, entry: DayEntry, *, by: Person | None = None, version: int | None = None) -> CastingDay:
    """Write another entry for an announced day. Its waxes stay, and hand-in that was closed stays closed.

    `version` is the one that `by` looked at, if any: `ChangedMeanwhile` if the day does not stand at it any more.
    """
    now = locked_open(day.pk)
    if version not in (None, now.version):
        raise ChangedMeanwhile
    before = _recorded(now)
    day.version = now.version + 1
    _write(day, entry, (*COLUMNS, "version"))
    if (after := _recorded(day)) != before:
        DayChange.objects.create(day=day, by_person=by, before=before, after=after)
    return day


@transaction.atomic
def pour_later(day: CastingDay, pour_at: datetime, *, by: Person) -> None:
    """Move the first pour of a day, as after a mishap that leaves no time for it; all else of its entry stays."""
    now = locked_open(day.pk)
    before = _recorded(now)
    now.pour_at, now.version = pour_at, now.version + 1
    now.save(update_fields=("pour_at", "version"))
    DayChange.objects.create(day=now, by_person=by, before=before, after=_recorded(now))


@transaction.atomic
def keep_measured_gloss(day: CastingDay, minutes: float, *, by: Person) -> None:
    """Keep after how many minutes the gloss was gone in a bowl of the day: its next plan counts on that."""
    now = locked_open(day.pk)
    before = _recorded(now)
    if now.gloss_off_min == minutes:
        return
    now.gloss_off_min, now.version = minutes, now.version + 1
    now.save(update_fields=("gloss_off_min", "version"))
    DayChange.objects.create(day=now, by_person=by, before=before, after=_recorded(now))


def _same(course: Course, entry: DayEntry) -> CastingDay | None:
    """The open day of a class that says the same as an entry; a button pressed twice sends such a one."""
    columns = {name: getattr(entry, name) for name in COLUMNS}
    for day in CastingDay.objects.filter(course=course, pour_at=entry.pour_at, cancelled_at=None, ended_at=None):
        if columns == {name: getattr(day, name) for name in COLUMNS} and set(day.alloys.all()) == set(entry.alloys):
            return day
    return None


def _write(day: CastingDay, entry: DayEntry, columns: Iterable[str] | None) -> None:
    for name in COLUMNS:
        setattr(day, name, getattr(entry, name))
    day.save(update_fields=columns)
    day.alloys.set(entry.alloys)


def _recorded(day: CastingDay) -> dict[str, Any]:
    """What a day's entry is, as JSON values for the record of changes: instants in UTC, metals by key."""
    values = {name: getattr(day, name) for name in COLUMNS}
    for name, value in values.items():
        if isinstance(value, datetime):
            values[name] = value.astimezone(UTC).isoformat(timespec="minutes")
        elif isinstance(value, time):
            values[name] = f"{value:%H:%M}"
    return values | {"alloys": sorted(day.alloys.values_list("key", flat=True))}


def close_hand_in(day: CastingDay) -> None:
    """Take no more waxes for the day."""
    if not _open(day).update(closed_at=Coalesce("closed_at", timezone.now())):
        refuse_if_shut(CastingDay.objects.get(pk=day.pk))


def reopen_hand_in(day: CastingDay) -> None:
    """Take waxes again until somebody closes it: an hour that has passed no longer counts. One query."""
    to_come = When(hand_in_closes_at__gt=timezone.now(), then=F("hand_in_closes_at"))
    if not _open(day).update(closed_at=None, hand_in_closes_at=Case(to_come, default=None)):
        refuse_if_shut(CastingDay.objects.get(pk=day.pk))


def _open(day: CastingDay) -> QuerySet[CastingDay]:
    """The day's row, if it is neither cancelled nor closed."""
    return CastingDay.objects.filter(pk=day.pk, cancelled_at__isnull=True, ended_at__isnull=True)
