"""What went wrong with the flasks of a day, and what follows for its pours. Reads only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta

from django.db.models import Count, Max

from casting.calc.values.mishap import LATE_MIN, NOT_POURED, Left
from casting.models import BenchChange, CastingDay, Flask, FlaskMishap

MISHAP = "mishap"
"""What a change of a mishap is called among the changes of the bench."""


def mishaps_of(day: CastingDay) -> list[FlaskMishap]:
    """Return what went wrong on a day, in its order, as it stands. One query."""
    return list(FlaskMishap.objects.filter(day=day).select_related("by"))


def mishaps_noted(day: CastingDay) -> tuple[int, datetime | None]:
    """Return how often a mishap of a day was noted, corrected or taken back, and when last. One query."""
    found = BenchChange.objects.filter(day=day, do=MISHAP).aggregate(many=Count("pk"), last=Max("at"))
    return found["many"], found["last"]


def not_to_pour(mishaps: Iterable[FlaskMishap], states: Mapping[str, str]) -> frozenset[str]:
    """Return the labels of the flasks that are not poured any more, though no plan takes them out."""
    lost = {one.label for one in mishaps if one.left in NOT_POURED}
    return frozenset(label for label in lost if states.get(label) != Flask.State.POURED)


def not_before(mishaps: Iterable[FlaskMishap], planned: Mapping[str, datetime]) -> dict[str, datetime]:
    """Return from when each late flask can come: so much later than planned, or than it was noted if that was later."""
    found = {}
    for one in mishaps:
        if one.left in LATE_MIN and one.label in planned:
            found[one.label] = max(planned[one.label], one.at) + timedelta(minutes=LATE_MIN[Left(one.left)])
    return found
