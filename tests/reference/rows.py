"""The check rows: read, cited, and compared by their own tolerance."""

from __future__ import annotations

import csv
import json
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
CHECKED: dict[str, set[str]] = defaultdict(set)
"""File -> ids of the rows that a test takes; filled as the tests are collected."""


@dataclass(frozen=True)
class Row:
    """One figure from outside the project."""

    id: str
    subject: str
    inputs: dict[str, Any]
    quantity: str
    value: str
    unit: str
    tolerance: float
    tolerance_kind: str
    status: str
    source: str
    note: str

    @property
    def kind(self) -> str:
        """The letters before the last dash of the id."""
        return self.id.rpartition("-")[0]

    @property
    def cited(self) -> str:
        """Where the figure comes from, in the words that a test must use."""
        return {
            "published": f"source: {self.source}",
            "computed": f"computed: {self.source}",
            "practice": "common practice",
            "memory": "from memory, not seen",
        }[self.status]

    def check(self, got: float) -> None:
        """Fail unless `got` is the row's figure within the row's tolerance."""
        said = f"{self.id} {self.subject}: got {got}, expected {self.value} {self.unit} ({self.cited})"
        if self.tolerance_kind == "range":
            low, _, high = self.value.partition("..")
            assert not low or got >= float(low), said
            assert not high or got <= float(high), said
            return
        value = float(self.value)
        room = self.tolerance * (abs(value) if self.tolerance_kind == "rel" else 1)
        assert abs(got - value) <= room + 1e-9, said


def rows_of(file: str) -> list[Row]:
    """Every row of one of the tables beside this module."""
    with (HERE / f"{file}.csv").open(encoding="utf-8", newline="") as text:
        return [
            Row(**{**row, "inputs": json.loads(row["inputs"]), "tolerance": float(row["tolerance"])})
            for row in csv.DictReader(text)
        ]


def checks(file: str, *wanted: str, quantity: str | None = None) -> pytest.MarkDecorator:
    """Parametrise a test by the rows of these kinds or ids, and note them as checked."""
    found = [
        row for row in rows_of(file) if (row.kind in wanted or row.id in wanted) and quantity in (None, row.quantity)
    ]
    unknown = set(wanted) - {row.kind for row in found} - {row.id for row in found}
    assert not unknown, f"{file}.csv has no {sorted(unknown)} for {quantity or 'any quantity'}"
    CHECKED[file] |= {row.id for row in found}
    return pytest.mark.parametrize("row", found, ids=lambda row: row.id)
