"""A cancelled or closed day takes no change: every service that writes to a day locks it here first."""

from __future__ import annotations

from collections.abc import Callable

from casting.models import CastingDay
from casting.models.errors import NotPlanned


class DayShut(NotPlanned):
    """The day is cancelled or closed: nothing is written; `sentence` says so."""


def locked_open(day_id: int, refusal: Callable[[str], Exception] = DayShut) -> CastingDay:
    """Return the day's row, locked, as it is now; raise that refusal with a sentence if it is cancelled or closed."""
    day = CastingDay.objects.select_for_update().get(pk=day_id)
    refuse_if_shut(day, refusal)
    return day


def refuse_if_shut(day: CastingDay, refusal: Callable[[str], Exception] = DayShut) -> None:
    """Raise that refusal with a sentence if the day is cancelled or closed."""
    if sentence := day.why_shut:
        raise refusal(sentence)
