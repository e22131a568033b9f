"""A school that is deleted as a whole takes its metal account with it; nothing less than a school does."""

from __future__ import annotations

from typing import Any

from django.db.models.signals import pre_delete

from casting.models import SchoolLeaving
from school.models import School


def let_go(instance: School, **_signal: Any) -> None:
    """Note that a school is being deleted, for the guards of the database, in the same transaction.

    The note stays: rows of the account may go after the school's own, and no other school is given its number.
    """
    SchoolLeaving.objects.get_or_create(number=instance.pk)


def listen() -> None:
    """Hear of the deletion of a school."""
    pre_delete.connect(let_go, sender=School, dispatch_uid="let_account_go")
