"""Defects of a casting, and the usual causes of each with what a record must show for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Defect(StrEnum):
    """What is wrong with a casting."""

    POROSITY = "porosity"
    SHRINKAGE = "shrinkage"
    INCOMPLETE = "incomplete"
    FLASHING = "flashing"
    INCLUSION = "inclusion"
    CRACKS = "cracks"
    ROUGH = "rough"


class Sense(StrEnum):
    """On which side of its limit a figure points to a cause; `present` is any figure above 0, without a limit."""

    BELOW = "below"
    ABOVE = "above"
    PRESENT = "present"


class Verdict(StrEnum):
    """What a record says of a cause, the strongest first."""

    POINTS_HERE = "points_here"
    NOT_RECORDED = "not_recorded"
    SPEAKS_AGAINST = "speaks_against"


@dataclass(frozen=True, slots=True)
class CauseRule:
    """A usual cause of some defects.

    `fact` is the figure of a flask's record that tells of it, its unit at the end of its name; `than` is another figure
    of the record or a limit, None for `Sense.PRESENT`; `by_pct` is by how much of it the figure must be off.
    `source` and `status` say what the cause rests on.
    """

    id: str
    kinds: frozenset[Defect]
    fact: str
    sense: Sense
    than: str | None
    by_pct: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause held against a record: its rule, the figure found, the figure asked for, and what they say.

    Both figures are None where they are not recorded, in the unit at the end of the fact's name.
    `off_pct` is how far the figure is on the wrong side [% of what is asked]; 0 if it is not, or not recorded.
    """

    rule: CauseRule
    verdict: Verdict
    found: float | None
    asked: float | None
    off_pct: float = 0.0
