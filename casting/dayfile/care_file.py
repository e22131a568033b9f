"""Reads how pieces of a metal are cared for from `fixtures/care.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from casting.calc.quantities.alloy import main_element
from casting.dayfile.shelf_file import FIXTURES


@dataclass(frozen=True, slots=True)
class CareRule:
    """One line of care: for metals mostly of these elements (none: any), with so much of a part [%]."""

    key: str
    mostly: tuple[str, ...]
    part: str
    from_pct: float
    source: str
    status: str

    def holds_for(self, composition_pct: Mapping[str, float | None]) -> bool:
        """Tell whether it holds for a metal; what nobody recorded of it counts as there."""
        if self.mostly and main_element(composition_pct) not in (*self.mostly, ""):
            return False
        if not self.part:
            return True
        if not composition_pct:
            return True
        share = composition_pct.get(self.part, 0)
        return share is None or share >= self.from_pct


@cache
def care_rules() -> tuple[CareRule, ...]:
    """Return every line of care in the order of the file, which is read once."""
    rows = json.loads((FIXTURES / "care.json").read_text("utf-8"))["care"]
    return tuple(
        CareRule(
            key=row["key"],
            mostly=tuple(row.get("mostly", ())),
            part=row.get("part", ""),
            from_pct=row.get("from_pct", 0),
            source=row["source"],
            status=row["status"],
        )
        for row in rows
    )


def care_of(composition_pct: Mapping[str, float | None] | None) -> list[CareRule]:
    """Return the lines that hold for a metal of these parts."""
    return [rule for rule in care_rules() if rule.holds_for(composition_pct or {})]
