"""What went wrong with a flask in the few words that stand beside it on pages, papers and in calendars."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from casting.calc.values.mishap import FATES, NOT_POURED, Left, Mishap
from casting.models import FlaskMishap
from casting.presenters.formats import clock_time
from casting.selectors.mishaps import not_to_pour


@dataclass(frozen=True, slots=True)
class ToldMishap:
    """What went wrong with a flask, what is left of it, and when, on the school's clock."""

    kind: Mishap
    left: Left
    at: datetime

    @property
    def not_poured(self) -> bool:
        """Whether the flask is not poured any more."""
        return self.left in NOT_POURED

    @property
    def words(self) -> str:
        """All of it: what happened at what time, and whether there is metal in it."""
        words = {"at": clock_time(self.at), "what": FlaskMishap.Kind(self.kind).label}
        if self.not_poured:
            return _("lost at %(at)s: %(what)s; not poured") % words
        if self.kind is Mishap.MISRUN:
            return _("%(what)s, seen at %(at)s") % words
        return _("%(what)s at %(at)s, %(left)s") % (words | {"left": FlaskMishap.Left(self.left).label})


def told_of(mishaps: Iterable[FlaskMishap], states: Mapping[str, str], zone: ZoneInfo) -> dict[str, ToldMishap]:
    """Return what is told of each flask with which something went wrong that cost it metal or its pour, by label.

    One that is poured is never told as not poured; of several mishaps the last is told.
    """
    rows = [row for row in mishaps if row.left in FATES]
    out = not_to_pour(rows, states)
    return {
        row.label: ToldMishap(Mishap(row.kind), Left(row.left), row.at.astimezone(zone))
        for row in rows
        if (row.left in NOT_POURED) is (row.label in out)
    }
