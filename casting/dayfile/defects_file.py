"""Reads the usual causes of defects from `fixtures/defects.json`."""

from __future__ import annotations

import json
from functools import cache

from casting.calc.values.defect import CauseRule, Defect, Sense
from casting.dayfile.shelf_file import FIXTURES


@cache
def cause_rules() -> tuple[CauseRule, ...]:
    """Return the causes in the order of the file, which is read once."""
    rows = json.loads((FIXTURES / "defects.json").read_text("utf-8"))["causes"]
    return tuple(
        CauseRule(
            id=row["id"],
            kinds=frozenset(Defect(kind) for kind in row["kinds"]),
            fact=row["fact"],
            sense=Sense(row["sense"]),
            than=row.get("than"),
            by_pct=row.get("by_pct", 0),
            source=row["source"],
            status=row["status"],
        )
        for row in rows
    )
