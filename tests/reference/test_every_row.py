"""Every copied row is either checked or left out with the reason: in `README.md`, of a rule in `cautions.json`."""

from __future__ import annotations

import csv
import importlib
import json
import re
from fnmatch import fnmatch
from pathlib import Path

import pytest

from casting.dayfile.shelf_file import FIXTURES
from tests.reference.rows import CHECKED, rows_of

HERE = Path(__file__).parent
TABLES = [
    *(
        "alloys",
        "bad_inputs",
        "burnout",
        "elements",
        "heat",
        "investment",
        "kiln",
        "layout",
        "metal_balance",
        "patterns",
        "units",
    ),
    *("rings", "water", "wax_to_metal"),
]
RULES = ("cautions", "input_checks")
"""Tables of rules: another form of row, each with the reason beside the rules of the program if it is not asked."""
WHOLE = {
    "bad_inputs": 72,
    "burnout": 57,
    "heat": 88,
    "kiln": 66,
    "layout": 48,
    "patterns": 20,
    "rings": 146,
    "units": 52,
    "water": 91,
}
WHOLE |= {"cautions": 56, "heat": 88, "input_checks": 28}
"""Rows of the tables that were cut before: a copy that loses one again would lose it in silence."""


def ids_of(table: str) -> list[str]:
    """The ids of a table, in its order."""
    if table not in RULES:
        return [row.id for row in rows_of(table)]
    with (HERE / f"{table}.csv").open(encoding="utf-8", newline="") as text:
        return [row["id"] for row in csv.DictReader(text)]


def not_asked() -> list[tuple[str, str, str]]:
    """(table, id, reason) of each rule that is left out whole."""
    reasons = json.loads((FIXTURES / "cautions.json").read_text("utf-8"))["not_asked"]
    return [(table, id, reasons[id]) for table in RULES for id in ids_of(table) if id in reasons]


def left_out() -> list[tuple[str, str, str]]:
    """(table, pattern of ids, reason) of each line of the README's table."""
    lines = (HERE / "README.md").read_text(encoding="utf-8").splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| ")]
    named = [(file, ids, why) for file, ids, why in rows if file in TABLES]
    of_readme = [(file, pattern, why) for file, ids, why in named for pattern in re.split(r",\s*", ids)]
    return [*of_readme, *not_asked()]


@pytest.fixture(scope="module", autouse=True)
def all_checks_collected():
    for path in HERE.glob("test_*.py"):
        importlib.import_module(f"tests.reference.{path.stem}")


@pytest.mark.parametrize("table", [*TABLES, *RULES])
def test_a_row_is_checked_or_left_out_with_a_reason(table: str):
    patterns = [pattern for file, pattern, _ in left_out() if file == table]
    forgotten = {id for id in ids_of(table) if not any(fnmatch(id, pattern) for pattern in patterns)} - CHECKED[table]
    assert not sorted(forgotten)


@pytest.mark.parametrize("table", [*TABLES, *RULES])
def test_no_row_is_both_checked_and_left_out(table: str):
    patterns = [pattern for file, pattern, _ in left_out() if file == table]
    assert not sorted(id for id in CHECKED[table] if any(fnmatch(id, pattern) for pattern in patterns))


@pytest.mark.parametrize(("file", "pattern", "why"), left_out())
def test_a_line_of_the_table_names_rows_that_are_there(file: str, pattern: str, why: str):
    assert any(fnmatch(id, pattern) for id in ids_of(file))
    assert len(why.split()) >= 3


@pytest.mark.parametrize(("table", "count"), WHOLE.items())
def test_a_table_is_copied_whole(table: str, count: int):
    assert len(set(ids_of(table))) == count
