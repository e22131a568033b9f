"""Reads what to do at once when something goes wrong from `fixtures/mishaps.json`."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache

from casting.calc.values.mishap import Mishap
from casting.dayfile.shelf_file import FIXTURES


@dataclass(frozen=True, slots=True)
class Step:
    """A step to take at once: its id, after which mishaps, and what it rests on."""

    id: str
    kinds: frozenset[Mishap]
    source: str
    status: str


@cache
def steps_at_once() -> tuple[Step, ...]:
    """Return the steps in the order of the file, which is read once."""
    rows = json.loads((FIXTURES / "mishaps.json").read_text("utf-8"))["steps"]
    return tuple(
        Step(row["id"], frozenset(Mishap(kind) for kind in row["kinds"]), row["source"], row["status"]) for row in rows
    )
