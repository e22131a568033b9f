"""Keeping what a school answers about its room, people and kit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from casting.models import SafetyRecord
from school.models import School


def keep_record(school: School, answers: Mapping[str, Any]) -> SafetyRecord:
    """Write these answers into the school's record, its first or the one that it has; None is "not recorded"."""
    record, _made = SafetyRecord.objects.update_or_create(school=school, defaults=answers)
    return record
