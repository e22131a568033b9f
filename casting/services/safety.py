"""Keeping what a school answers about its room, people and kit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from casting.models import SafetyChange, SafetyRecord
from casting.services.shelf import ChangedMeanwhile
from school.models import Person, School

NEW = 0
"""The version of a record that a school does not have yet."""


@transaction.atomic
def keep_record(
    school: School, answers: Mapping[str, Any], *, by: Person | None = None, version: int | None = None
) -> SafetyRecord:
    """Write these answers into the school's record, its first or the one that it has; None is "not recorded".

    What is not among them stays. `version` is the one that `by` looked at, if any: `ChangedMeanwhile` if the record
    does not stand at it any more.
    """
    School.objects.select_for_update().get(pk=school.pk)
    record = SafetyRecord.objects.filter(school=school).first() or SafetyRecord(school=school, version=NEW)
    if version not in (None, record.version):
        raise ChangedMeanwhile
    changed = [name for name, value in answers.items() if getattr(record, name) != value]
    if record.pk and not changed:
        return record
    before = {name: getattr(record, name) for name in changed}
    for name in changed:
        setattr(record, name, answers[name])
    record.version += 1
    record.save()
    after = {name: answers[name] for name in changed}
    SafetyChange.objects.create(record=record, by_person=by, before=before, after=after)
    return record
