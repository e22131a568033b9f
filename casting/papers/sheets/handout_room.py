"""How much room the first side of the safety handout has, by about how many rows its parts take.

A sheet is set by WeasyPrint in a child process, so the room is counted here in letters, rather
too high than too low; `tests/casting/papers/sheets/test_handout.py` tries it on the fullest days.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate
from textwrap import wrap
from typing import TypeVar

T = TypeVar("T")

ROOM_PT = {"A4": 762.0, "Letter": 712.0}
"""Height of a side of each paper between its head and its foot."""
HEADINGS_PT = 31.0 + 25.0 + 3 * 19.0
"""Height of the sheet's heading, of the box's frame with its heading, and of three headings below."""
ROW_PT = 12.6
"""Height of a row of any other part, with its share of the gaps."""
CROWDED_ROW_PT = 11.5
BOX_ROW_PT = 15.2
"""Height of a row of the box."""
BOX_GAP = 0.15
"""The gap over a line of the box, in rows."""
BOX_LETTERS = 37
ROW_LETTERS = 104
HALF_LETTERS = 54
PLACE_LETTERS = 74
"""About how many letters fit into a row: of half the box, of the sheet, of half of it, beside a place's name."""


@dataclass(frozen=True, slots=True)
class FirstSide:
    """What stands on the first side, from top to bottom, in two columns where it is so set."""

    stops: tuple[Sequence[str], Sequence[str]]
    today: tuple[str, tuple[Sequence[str], Sequence[str]]]
    terms: str
    wear: tuple[Sequence[str], Sequence[str]]
    places: Sequence[tuple[str, str]]
    cleared: Sequence[str]

    def height_pt(self, crowded: bool = False) -> float:
        """Return about how high it is, set closer if crowded."""
        lines = rows(self.terms, ROW_LETTERS) + sum(rows(text, ROW_LETTERS) for text in self.cleared)
        lines += rows(self.today[0], ROW_LETTERS) + longer(self.today[1], HALF_LETTERS)
        lines += longer(self.wear, HALF_LETTERS)
        if crowded:
            lines += longer(place_halves(self.places), HALF_LETTERS)
        else:
            lines += sum(rows(where, PLACE_LETTERS) for _name, where in self.places)
        box = max(sum(rows(text, BOX_LETTERS) + BOX_GAP for text in half) for half in self.stops)
        return HEADINGS_PT + box * BOX_ROW_PT + lines * (CROWDED_ROW_PT if crowded else ROW_PT)


def rows(text: str, letters: int) -> int:
    """Return about how many rows of so many letters a text takes."""
    return max(1, len(wrap(text, letters)))


def halves(items: Sequence[T], length: Callable[[T], float]) -> tuple[Sequence[T], Sequence[T]]:
    """Return the items as two columns of about the same length, in their order."""
    so_far = list(accumulate((length(item) for item in items), initial=0))
    cut = min(range(1, len(so_far)), key=lambda nth: max(so_far[nth], so_far[-1] - so_far[nth]), default=0)
    return items[:cut], items[cut:]


def longer(halves: tuple[Sequence[str], Sequence[str]], letters: int) -> int:
    """Return the rows of the longer of two columns."""
    return max(sum(rows(text, letters) for text in half) for half in halves)


def place_halves(places: Sequence[tuple[str, str]]) -> tuple[list[str], list[str]]:
    """Return the places in two columns, each behind its name."""
    texts = [f"{name} {where}" for name, where in places]
    half = (len(texts) + 1) // 2
    return texts[:half], texts[half:]
