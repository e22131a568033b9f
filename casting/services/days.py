"""Announcing a casting day, changing it, closing its hand-in and opening it again: the only writers of casting days."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, time

from django.db import transaction
from django.db.models import Case, F, When
from django.utils import timezone

from casting.models import Alloy, CastingDay
from school.models import Course


@dataclass(frozen=True, slots=True)
class DayEntry:
    """A teacher's entry for a casting day: its instants, the studio's hours on the school's clock, its metals.

    Of flask sizes and kilns the keys; None is all that the school works with.
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


COLUMNS = tuple(name for name in DayEntry.__dataclass_fields__ if name != "alloys")


def announce(course: Course, entry: DayEntry) -> CastingDay:
    """Write a casting day of a class."""
    return _write(CastingDay(course=course), entry)


def change(day: CastingDay, entry: DayEntry) -> CastingDay:
    """Write another entry for an announced day. Its waxes stay, and hand-in that was closed stays closed."""
    return _write(day, entry)


@transaction.atomic
def _write(day: CastingDay, entry: DayEntry) -> CastingDay:
    for name in COLUMNS:
        setattr(day, name, getattr(entry, name))
    day.save(update_fields=COLUMNS if day.pk else None)
    day.alloys.set(entry.alloys)
    return day


def close_hand_in(day: CastingDay) -> None:
    """Take no more waxes for the day."""
    CastingDay.objects.filter(pk=day.pk, closed_at__isnull=True).update(closed_at=timezone.now())


def reopen_hand_in(day: CastingDay) -> None:
    """Take waxes again until somebody closes it: an hour that has passed no longer counts. One query."""
    to_come = When(hand_in_closes_at__gt=timezone.now(), then=F("hand_in_closes_at"))
    CastingDay.objects.filter(pk=day.pk).update(closed_at=None, hand_in_closes_at=Case(to_come, default=None))
