"""A change of a wax, a casting day or the safety record in words: who made it, when, and what it changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Change:
    """One change: who made it, when, and what it changed."""

    who: str
    at: datetime
    words: str


def moved(values: Iterable[tuple[str, str, str]]) -> str:
    """Return what changed of values, each given as its label, what it is now and what it was."""
    words = _("%(label)s %(now)s, was %(old)s")
    return "; ".join(words % {"label": label, "now": now, "old": old} for label, now, old in values if now != old)
