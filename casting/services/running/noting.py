"""A step of the bench is noted, corrected or taken back: who, when, before and after stay for good."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import BenchChange, CastingDay, StepRecord
from casting.models.errors import NotPlanned
from casting.presenters.formats import on_clock_of
from school.models import Person

AHEAD = timedelta(minutes=1)
"""A tablet's clock may be so far ahead of the school's; what it says to come is then now."""


def when(at: datetime | None, day: CastingDay) -> datetime:
    """Return when something was done, as a tablet says; now if it says nothing.

    Raises `NotPlanned` with a sentence if that is still to come.
    """
    now, school = timezone.now(), day.course.school
    if at is not None and at > now + AHEAD:
        sentence = _("That is noted for %(at)s, and it is now %(now)s. Set this tablet's clock, then press again.")
        raise NotPlanned(sentence % {"at": on_clock_of(at, school), "now": on_clock_of(now, school)})
    return min(at or now, now)


@transaction.atomic
def note(
    day: CastingDay,
    do: str,
    what: str,
    *,
    at: datetime,
    by: Person,
    who: str = "",
    figures: Mapping[str, Any] | None = None,
) -> StepRecord:
    """Note when a step was done, or correct that; `who` is a name that was typed, if it was not `by`."""
    before = day.steps_done.filter(do=do, what=what).first()
    noted = {"done_at": at, "by": by, "who": who, "figures": dict(figures or {})}
    step, _made = StepRecord.objects.update_or_create(day=day, do=do, what=what, defaults=noted)
    if _told(before) != _told(step):
        BenchChange.objects.create(day=day, do=do, what=what, by_person=by, before=_told(before), after=_told(step))
    return step


@transaction.atomic
def take_back(day: CastingDay, do: str, what: str, *, by: Person) -> None:
    """Take a note back. Idempotent."""
    before = day.steps_done.filter(do=do, what=what).first()
    if before is None:
        return
    before.delete()
    BenchChange.objects.create(day=day, do=do, what=what, by_person=by, before=_told(before), after=None)


def _told(step: StepRecord | None) -> dict[str, Any] | None:
    """What a note says, as it is kept; nothing where there is none."""
    if step is None:
        return None
    told = {"at": step.done_at.isoformat(), "who": step.who or (step.by.name if step.by else "")}
    return told | ({"figures": step.figures} if step.figures else {})
