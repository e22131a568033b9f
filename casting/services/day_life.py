"""Cancelling a casting day, closing it when it is over, and taking either back."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.models import CastingDay, DayChange, Flask
from casting.models.errors import NotPlanned
from casting.services.day_shut import locked_open
from school.models import Person

LONGEST = 200
"""The most characters of a reason: a student reads it on a phone."""


@transaction.atomic
def cancel(day: CastingDay, why: str, *, by: Person) -> None:
    """Cancel a day: it takes no wax and no change. Raises `NotPlanned` without a reason, or with one too long."""
    now = locked_open(day.pk)
    why = _reason(why, _("Write why it is cancelled: students read it."))
    now.cancelled_at, now.cancelled_by, now.cancelled_why = timezone.now(), by.name, why
    now.save(update_fields=["cancelled_at", "cancelled_by", "cancelled_why"])
    _note(now, by, "cancelled", why)


@transaction.atomic
def uncancel(day: CastingDay, *, by: Person) -> None:
    """Let a cancelled day take place after all. Idempotent."""
    now = CastingDay.objects.select_for_update().get(pk=day.pk)
    if now.cancelled_at is None:
        return
    now.cancelled_at, now.cancelled_by, now.cancelled_why = None, "", ""
    now.save(update_fields=["cancelled_at", "cancelled_by", "cancelled_why"])
    _note(now, by, "not cancelled")


@transaction.atomic
def end(day: CastingDay, left: str, *, by: Person) -> None:
    """Close a day that is over: from then on it is only read.

    `left` says what becomes of flasks that are not poured; `NotPlanned` if there are such and it says nothing, or if
    the first pour has not begun.
    """
    now = locked_open(day.pk)
    if not now.pour_has_begun():
        raise NotPlanned(_("The first pour has not begun yet. Close the day after it, or cancel it."))
    if still := not_poured(now):
        left = _reason(left, _("Not poured: %(flasks)s. Write what becomes of them.") % {"flasks": ", ".join(still)})
    now.ended_at = timezone.now()
    now.save(update_fields=["ended_at"])
    _note(now, by, "ended", left.strip()[:LONGEST])


@transaction.atomic
def reopen(day: CastingDay, *, by: Person) -> None:
    """Open a closed day again. Idempotent."""
    now = CastingDay.objects.select_for_update().get(pk=day.pk)
    if now.ended_at is None:
        return
    now.ended_at = None
    now.save(update_fields=["ended_at"])
    _note(now, by, "not ended")


def not_poured(day: CastingDay) -> list[str]:
    """Return the labels of the day's flasks that are not poured."""
    return list(day.flasks.exclude(state=Flask.State.POURED).values_list("label", flat=True))


def _reason(typed: str, missing: str) -> str:
    """The reason without needless spaces; refused if there is none or it is too long."""
    why = " ".join(typed.split())
    if not why or "\0" in why:
        raise NotPlanned(missing)
    if len(why) > LONGEST:
        sentence = _("That is %(length)s characters long. Keep it under %(most)s.")
        raise NotPlanned(sentence % {"length": len(why), "most": LONGEST + 1})
    return why


def _note(day: CastingDay, by: Person, state: str, why: str = "") -> None:
    DayChange.objects.create(day=day, by_person=by, before={}, after={"state": state} | ({"why": why} if why else {}))
