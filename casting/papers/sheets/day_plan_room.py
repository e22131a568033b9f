"""How much room a day plan leaves, by about how high its parts are, so that the curves of its kilns can have it.

A sheet is set by WeasyPrint in a child process, so heights are counted here in rows and letters, rather too high
than too low: too little room only leaves the curves low.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from casting.papers.pdf.svg_minify import width_of
from casting.papers.sheets.handout_room import rows

SIDE_MM = {"A4": 268.0, "Letter": 250.0}
"""Height of a side between its head and its foot."""
SURELY = 0.85
"""The share of the counted height that the parts take at least."""
HEAD_MM = 30.0
ROW_MM = 5.5
"""A row of what is fetched or mixed."""
LINE_MM = 4.2
MOUNT_MM = 12.0
"""Over and under a row of mounts; its heading takes as much."""
WORD_LETTERS = 20
COLUMN_EM = 28.6
"""Width of a column of cautions, 48.5 % of a side, in their type of 9 pt."""
FRAMED, FRAME_EM = 8.5 / 9, 0.8
"""The type of what is framed, and what its frame takes."""
KILN_MM = 14.0
SEGMENT_MM = 4.8
LEAST_KILN_MM = 28.0
POURS_MM = 22.0
POUR_MM = 5.2


@dataclass(frozen=True, slots=True)
class DayParts:
    """What stands on a day plan beside its timetable, in rows or texts."""

    fetched: int
    bowls: int
    mounts: Sequence[Sequence[tuple[float, Sequence[str]]]]
    """For each row of flasks their inside diameters in mm, with the words of their waxes."""
    left_out: int
    gates: Sequence[int]
    """Rows of what stops or warns at the three parts of a day."""
    segments: Sequence[int]
    pours: int
    """Rows of the table of pours; a flask of a student's own metal takes two more."""

    def height_mm(self, timetable_mm: float) -> float:
        """Return about how high all of it is."""
        halves = 12 + max(self.fetched, self.bowls + 4) * ROW_MM
        mounts = MOUNT_MM * bool(self.mounts) + sum(_mounts_mm(row) for row in self.mounts)
        lines = self.left_out * 2 + sum(_caution_rows(many) for many in self.gates)
        return HEAD_MM + halves + mounts + lines * LINE_MM + timetable_mm + self.kilns_mm + self.pours_mm

    @property
    def kilns_mm(self) -> float:
        """Height of the kilns' tables."""
        return sum(max(LEAST_KILN_MM, KILN_MM + many * SEGMENT_MM) for many in self.segments)

    @property
    def pours_mm(self) -> float:
        """Height of the table of pours with its heading."""
        return POURS_MM + self.pours * POUR_MM


def room_mm(parts: DayParts, timetable_mm: float, paper: str) -> float:
    """Return how much higher a timetable may be than it is, so that no side is added.

    A side may end as much too early as its next part is high; the highest is the table of pours with its gates.
    """
    side, high = SIDE_MM[paper], parts.height_mm(timetable_mm)
    sides = math.ceil(SURELY * high / side)
    lost = (sides - 1) * max(parts.pours_mm + LINE_MM * _caution_rows(parts.gates[-1]), 40.0)
    return max(0.0, sides * side - high - lost)


def _mounts_mm(row: Sequence[tuple[float, Sequence[str]]]) -> float:
    """Height of a row of mounts, of the tallest of its pictures at 1:3 and its columns of words."""
    words = [sum(rows(text, WORD_LETTERS) for text in texts) * LINE_MM for _diameter, texts in row]
    return MOUNT_MM + max([*(diameter / 3 for diameter, _texts in row), *words])


def _caution_rows(many: int) -> int:
    """Rows of cautions, with that for what is said below."""
    return many + 1 if many else 0


def caution_rows(words: str, framed: str) -> int:
    """Return how many rows a caution takes in its column, by the widths of its letters, behind its framed words."""
    full, found = (width_of(framed, bold=True) or len(framed)) * FRAMED + FRAME_EM, 1
    for word in words.split():
        wide = width_of(f" {word}") or len(word)
        if full + wide > COLUMN_EM:
            found, full = found + 1, 0.0
        full += wide
    return found
