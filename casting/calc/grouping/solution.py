"""A solution of the search: the flasks in use, the waxes in each, and the waxes left out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Flask:
    """Waxes in a flask of a size; `label` is given for held and fixed flasks only."""

    size: str
    keys: frozenset[str]
    label: str = ""
    fixed: bool = False


Flasks = tuple[Flask, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A plan that the search compares with others: its flasks, and the waxes left out that some flask could take."""

    flasks: Flasks
    left: frozenset[str]
