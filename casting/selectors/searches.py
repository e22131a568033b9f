"""What a search has written so far, and whether its child still works. Reads only."""

from __future__ import annotations

import fcntl
import json
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from casting.models import CastingDay, Search


@dataclass(frozen=True, slots=True)
class SearchStatus:
    """A search's row, and whether its child is at work."""

    row: Search
    is_running: bool

    @property
    def has_ended(self) -> bool:
        """True if the child has ended and nobody has taken in what it found."""
        return self.row.goes_on and not self.is_running


def latest(day: CastingDay, kind: Search.Kind = Search.Kind.PLAN) -> Search | None:
    """The row of the day's search of that kind; None if there was none. One query."""
    row = Search.objects.filter(day=day, kind=kind).select_related("plan", "begun_by").first()
    if row is not None:
        row.day = day
    return row


def status_of(day: CastingDay, kind: Search.Kind = Search.Kind.PLAN) -> SearchStatus | None:
    """The day's search of that kind as it is now; None if there was none. One query, and nothing is written."""
    row = latest(day, kind)
    return SearchStatus(row, row.goes_on and lives(row)) if row is not None else None


def folder_of(search: Search) -> Path:
    """Where a search's child reads and writes."""
    return Path(settings.DATA_DIR) / "searches" / search.token


def lives(search: Search) -> bool:
    """Tell whether the child of a search is still at work: it holds its lock as long as it lives."""
    try:
        with (folder_of(search) / "lock").open("rb") as lock:
            fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False
    return False


ASIDE = '{"aside"'
"""How a line begins that says more than a plan: which changes would work, or which plan ends earlier."""


def found_by(search: Search) -> list[str]:
    """The whole lines that a search has found so far; the last is the best."""
    return [line for line in _written_by(search) if not line.startswith(ASIDE)]


def aside_of(search: Search) -> str:
    """What a search has said beside its plans; empty if nothing."""
    return next((line for line in _written_by(search) if line.startswith(ASIDE)), "")


def sooner_in(search: Search) -> dict[str, Any] | None:
    """The plan file that a settled search found to end earlier than the cheapest; None if it found none."""
    if search.goes_on or not search.found:
        return None
    aside = json.loads(search.found)
    found: dict[str, Any] | None = aside.get("plan")
    return found


OFFERED = "offered"
"""Aside: a plan that was found after another was made, with the day file that it is of."""


def offered_in(search: Search | None) -> dict[str, Any] | None:
    """What a search found too late to become the plan: its plan file's values and its day file's text; else None."""
    if search is None or search.goes_on or not search.found:
        return None
    aside: dict[str, Any] = json.loads(search.found)
    return aside if aside["aside"] == OFFERED else None


def _written_by(search: Search) -> list[str]:
    with suppress(OSError):
        written = (folder_of(search) / "found").read_text(encoding="utf-8")
        return [line for line in written.split("\n")[:-1] if line]
    return []


def asked_of(search: Search) -> str:
    """The input of a search; empty if its folder is gone."""
    with suppress(OSError):
        return (folder_of(search) / "asked").read_text(encoding="utf-8")
    return ""
