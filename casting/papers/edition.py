"""Editions: a paper that is made of the day and of no plan numbers its own changes as it is printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from casting.models import PaperPrinted


@dataclass(frozen=True, slots=True)
class Edition:
    """The edition of a paper that is made, and the last print of another edition, which it replaces.

    `printed_at` is when this edition was first printed; None for a preview.
    """

    number: int = 1
    replaces: PaperPrinted | None = None
    printed_at: datetime | None = None

    @property
    def before(self) -> int:
        """The number of the edition that it replaces."""
        return self.number - 1


def edition_of(prints: Sequence[PaperPrinted], parts: dict[str, Any]) -> Edition:
    """Return the edition of a paper made of these parts, after its prints so far: the same parts, the same edition."""
    others = [row for row in prints if row.parts != parts]
    made = [*(row.parts for row in prints), parts]
    changes = sum(one != then for one, then in pairwise(made))
    return Edition(changes + 1, others[-1] if others else None)
