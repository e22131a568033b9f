"""Reads the rules of cautions and the limits from `fixtures/cautions.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from casting.calc.values.caution_rule import CautionRule, Limit, Rulebook
from casting.calc.values.enums import Asked, Level
from casting.dayfile.shelf_file import FIXTURES

T = TypeVar("T")


@cache
def rulebook() -> Rulebook:
    """Return the rules and limits; the file is read once."""
    return rulebook_of(json.loads((FIXTURES / "cautions.json").read_text("utf-8")))


def rulebook_of(file: Mapping[str, Any]) -> Rulebook:
    """Return the rules and limits of a file; ValueError if a rule or a limit occurs in it twice."""
    meanings = {code: sign["meaning"] for code, sign in file["signs"].items()}
    rules = _by_key("id", [_rule(row, meanings) for row in file["rules"]])
    general = [Limit(**row) for row in file["limits"]]
    limits = _by_key("name", [*general, *(limit for rule in rules.values() for limit in rule.limits.values())])
    return Rulebook(rules, limits)


def _rule(row: Mapping[str, Any], meanings: Mapping[str, str]) -> CautionRule:
    basis = row["basis"]
    return CautionRule(
        id=row["id"],
        level=Level(row["level"]),
        when=Asked(row["when"]),
        text=row["text"],
        signs=tuple((code, meanings[code]) for code in row["sign"]),
        basis=basis["source"],
        status=basis["status"],
        clearable=row["clearable"],
        materials=frozenset(row.get("materials", ())),
        limits={name: Limit(name, **(basis | limit)) for name, limit in row.get("limits", {}).items()},
        check=row.get("check", ""),
    )


def _by_key(key: str, found: list[T]) -> dict[str, T]:
    """The rows by their key, each once."""
    by_key = {getattr(one, key): one for one in found}
    if len(by_key) < len(found):
        raise ValueError(f"cautions.json: a {key} stands twice")
    return by_key
