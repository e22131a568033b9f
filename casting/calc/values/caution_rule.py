"""One rule of `fixtures/cautions.json` as a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from casting.calc.values.enums import Asked, Level


@dataclass(frozen=True, slots=True)
class CautionRule:
    """One rule: how hard, when it is asked, its words, what they rest on, whether a teacher may clear it.

    `signs` are ISO 7010 codes with their meaning; `status` is what the source is worth.
    """

    id: str
    level: Level
    when: Asked
    text: str
    signs: tuple[tuple[str, str], ...]
    basis: str
    status: str
    clearable: bool


Rulebook = Mapping[str, CautionRule]
