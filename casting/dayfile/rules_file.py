"""The cautions as they stand in `fixtures/cautions.json`."""

from __future__ import annotations

import json
from functools import cache

from casting.calc.values.caution_rule import CautionRule, Rulebook
from casting.calc.values.enums import Asked, Level
from casting.dayfile.shelf_file import FIXTURES


@cache
def rulebook() -> Rulebook:
    """Return the rules by id."""
    file = json.loads((FIXTURES / "cautions.json").read_text("utf-8"))
    meanings = {code: sign["meaning"] for code, sign in file["signs"].items()}
    rules = [
        CautionRule(
            id=row["id"],
            level=Level(row["level"]),
            when=Asked(row["when"]),
            text=row["text"],
            signs=tuple((code, meanings[code]) for code in row["sign"]),
            basis=row["basis"]["source"],
            status=row["basis"]["status"],
            clearable=row["clearable"],
        )
        for row in file["rules"]
    ]
    return {rule.id: rule for rule in rules}
