"""Editions: a paper that is made of the day and of no plan counts its own changes as it is printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from casting.models import PaperPrinted


@dataclass(frozen=True, slots=True)
class Edition:
    """Which edition of a paper is made, and the last print of another that it takes the place of.

    `printed_at` is when these same words were first printed; None for a look at them.
    """

    number: int = 1
    replaces: PaperPrinted | None = None
    printed_at: datetime | None = None

    @property
    def before(self) -> int:
        """The edition that it takes the place of."""
        return self.number - 1


_edition: ContextVar[Edition] = ContextVar("edition")


@contextmanager
def printed_as(edition: Edition) -> Iterator[None]:
    """Within it, papers say that they are of this edition."""
    before = _edition.set(edition)
    try:
        yield
    finally:
        _edition.reset(before)


def edition_now() -> Edition:
    """Return the edition that is being made: the first unless anybody said otherwise."""
    return _edition.get(Edition())


def edition_of(prints: Sequence[PaperPrinted], parts: dict[str, Any]) -> Edition:
    """Return the edition of a paper made of these parts, after its prints so far: the same parts, the same edition."""
    others = [row for row in prints if row.parts != parts]
    made = [*(row.parts for row in prints), parts]
    changes = sum(one != then for one, then in pairwise(made))
    return Edition(changes + 1, others[-1] if others else None)
