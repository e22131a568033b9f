"""How far a school is with its set-up: the only writer of what has been looked at."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from school.models import School


@transaction.atomic
def look_at(school: School, step: str) -> None:
    """Note that somebody has looked at a step and keeps it as it is."""
    now = School.objects.select_for_update().get(pk=school.pk)
    if step not in now.set_up_steps:
        now.set_up_steps = [*now.set_up_steps, step]
        now.save(update_fields=["set_up_steps"])


def end(school: School) -> None:
    """Finish the set-up, or put it away: the casting days speak of it no more."""
    School.objects.filter(pk=school.pk, set_up_ended_at__isnull=True).update(set_up_ended_at=timezone.now())


def take_up(school: School) -> None:
    """Speak of the set-up again."""
    School.objects.filter(pk=school.pk).update(set_up_ended_at=None)
