"""Columns of the shelf as boxes: a number has one, a flask temperature eight, a table a row of boxes for each row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Kind, Section
from casting.dayfile.sources_file import element_rows
from casting.forms.shelf.boxes import Box, TickBox

EMPTY = gettext_noop("Nothing is entered here. Fill it in.")

Texts = Mapping[str, str]
"""What stands in the boxes of a column, by the part of it that each is for; "" is the column itself."""

SECTION_WORDS = {
    Section.VERY_THIN: _("Very thin"),
    Section.THIN: _("Thin"),
    Section.MEDIUM: _("Medium"),
    Section.HEAVY: _("Heavy"),
}
ROW = re.compile(r"(\d{1,3})-")
SPARE_ROWS = 2
MOST_ROWS = 30


@dataclass(frozen=True, slots=True)
class Line:
    """Boxes that stand side by side: the part of each, and what the line is called."""

    parts: Sequence[str]
    called: Any = ""


class Column:
    """A column with one box."""

    heads: Sequence[Any] = ()
    """What stands over the boxes of a line."""
    rows_grow = False
    read_as_one = False
    """Whether a fault in one box makes what a reader says of the others meaningless."""

    def __init__(self, name: str, label: Any, box: Box, hint: Any = "", nullable: bool = True) -> None:
        self.name, self.label, self.box, self.hint, self.nullable = name, capfirst(label), box, hint, nullable

    def lines(self, texts: Texts) -> list[Line]:
        """Return the boxes in the order of the page, enough for those texts."""
        return [Line([""])]

    def box_of(self, part: str) -> Box:
        """Return the box of a part."""
        return self.box

    def label_of(self, part: str, line: Line) -> Any:
        """Return what one box is called."""
        return self.label

    def split(self, value: Any) -> dict[str, Any]:
        """Return a stored value by the parts of it that have a box."""
        return {"": value}

    def join(self, parts: Mapping[str, Any]) -> Any:
        """Return the value to store; parts that are empty are None."""
        return parts.get("")

    def texts(self, value: Any) -> dict[str, str]:
        """Return what stands in the boxes for a stored value."""
        return {part: self.box_of(part).shown(one) for part, one in self.split(value).items()}

    def gaps(self, parts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
        """Yield each box of a line that is left empty beside others that are not, and what is said of it."""
        for line in self.lines({part: "x" for part, value in parts.items() if value is not None}):
            if any(parts.get(part) is not None for part in line.parts):
                yield from ((part, gettext(EMPTY)) for part in line.parts if parts.get(part) is None)

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        """Return the part at a place inside the stored value, as a reader names it."""
        return ""


class Bands(Column):
    """The flask temperatures: a low and a high end for each section."""

    heads = (_("from"), _("to"))

    def lines(self, texts: Texts) -> list[Line]:
        return [Line([f"{section}-low", f"{section}-high"], word) for section, word in SECTION_WORDS.items()]

    def label_of(self, part: str, line: Line) -> Any:
        return f"{self.label}, {line.called}, {self.heads[line.parts.index(part)]}"

    def split(self, value: Any) -> dict[str, Any]:
        pairs = {section: (value or {}).get(section) or (None, None) for section in SECTION_WORDS}
        return {f"{section}-{end}": one for section, pair in pairs.items() for end, one in zip(ENDS, pair, strict=True)}

    def join(self, parts: Mapping[str, Any]) -> Any:
        pairs = {str(section): [parts.get(f"{section}-{end}") for end in ENDS] for section in SECTION_WORDS}
        given = {section: pair for section, pair in pairs.items() if pair != [None, None]}
        return given or None

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        section, nth = re.fullmatch(r"(\w*)(?:\[(\d)\])?.*", inside).groups()  # type: ignore[union-attr]
        return f"{section or Section.VERY_THIN}-{ENDS[int(nth or 0)]}"


ENDS = ("low", "high")


class Pair(Column):
    """A coolest and a warmest."""

    heads = (_("from"), _("to"))

    def lines(self, texts: Texts) -> list[Line]:
        return [Line(ENDS)]

    def label_of(self, part: str, line: Line) -> Any:
        return f"{self.label}, {self.heads[ENDS.index(part)]}"

    def split(self, value: Any) -> dict[str, Any]:
        return dict(zip(ENDS, value or (None, None), strict=True))

    def join(self, parts: Mapping[str, Any]) -> Any:
        pair = [parts.get(end) for end in ENDS]
        return None if pair == [None, None] else pair

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        return ENDS[1] if inside.startswith("[1]") else ENDS[0]


@dataclass(frozen=True, slots=True)
class Cell:
    """One box of every row of a table."""

    key: str
    head: Any
    box: Box = field(default_factory=Box)


class Rows(Column):
    """A table with rows to fill; an empty row is none."""

    rows_grow = True

    def __init__(self, name: str, label: Any, cells: Sequence[Cell], hint: Any = "", nullable: bool = True) -> None:
        super().__init__(name, label, cells[0].box, hint, nullable)
        self.cells = cells
        self.heads = [cell.head for cell in cells]

    def lines(self, texts: Texts) -> list[Line]:
        numbers = [int(found[1]) for part, text in texts.items() if text.strip() and (found := ROW.match(part))]
        filled = max(numbers, default=-1) + 1
        rows = min(filled + SPARE_ROWS, MOST_ROWS)
        return [Line([f"{nth}-{cell.key}" for cell in self.cells]) for nth in range(rows)]

    def box_of(self, part: str) -> Box:
        key = part.partition("-")[2]
        return next(cell.box for cell in self.cells if cell.key == key)

    def label_of(self, part: str, line: Line) -> Any:
        nth, _dash, key = part.partition("-")
        head = next(cell.head for cell in self.cells if cell.key == key)
        return f"{self.label}, {int(nth) + 1}, {head}"

    def split(self, value: Any) -> dict[str, Any]:
        return {
            f"{nth}-{cell.key}": one
            for nth, row in enumerate(self.rows_in(value))
            for cell, one in zip(self.cells, row, strict=True)
        }

    def join(self, parts: Mapping[str, Any]) -> Any:
        rows = [row for _nth, row in self.filled(parts)]
        return self.value_of(rows) if rows else None

    def filled(self, parts: Mapping[str, Any]) -> Iterator[tuple[int, list[Any]]]:
        """Yield each row with something in it, with its number on the page."""
        for nth in sorted({int(part.partition("-")[0]) for part in parts}):
            row = [parts.get(f"{nth}-{cell.key}") for cell in self.cells]
            if any(one is not None for one in row):
                yield nth, row

    def rows_in(self, value: Any) -> Sequence[Sequence[Any]]:
        """Return a stored value as rows."""
        return value or []

    def value_of(self, rows: Sequence[Sequence[Any]]) -> Any:
        """Return rows as they are stored."""
        return [list(row) for row in rows]

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        nth, key = self.place_in(inside, parts)
        numbers = [page for page, _row in self.filled(parts)]
        return f"{numbers[nth] if nth < len(numbers) else 0}-{key}"

    def place_in(self, inside: str, parts: Mapping[str, Any]) -> tuple[int, str]:
        """Return which of the filled rows a place names, and which of its cells."""
        found = re.match(r"\[(\d+)\](?:\[(\d+)\]|\.(\w+))?", inside)
        if found is None:
            return 0, self.cells[0].key
        key = found[3] or self.cells[int(found[2] or 0)].key
        return int(found[1]), key


class Composition(Rows):
    """The parts of a metal: the sign of an element and its share; a sign without a share is not recorded."""

    read_as_one = True

    def rows_in(self, value: Any) -> Sequence[Sequence[Any]]:
        return list((value or {}).items())

    def value_of(self, rows: Sequence[Sequence[Any]]) -> Any:
        return {sign or "": share for sign, share in rows}

    def gaps(self, parts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
        signs: set[str] = set()
        for nth, (sign, _share) in self.filled(parts):
            if sign is None:
                yield f"{nth}-sign", gettext(EMPTY)
            elif sign in signs:
                yield f"{nth}-sign", gettext("%(sign)s is entered twice. Write one row for it.") % {"sign": sign}
            signs.add(sign or "")

    def place_in(self, inside: str, parts: Mapping[str, Any]) -> tuple[int, str]:
        signs = [row[0] or "" for _nth, row in self.filled(parts)]
        wanted = inside.strip('"')
        if wanted not in signs:
            return 0, "sign"
        known = any(row["symbol"] == wanted for row in element_rows())
        return signs.index(wanted), "share" if known else "sign"


class Segments(Rows):
    """The ramps and holds of a firing."""

    def rows_in(self, value: Any) -> Sequence[Sequence[Any]]:
        return [[row.get(cell.key) for cell in self.cells] for row in value or []]

    def value_of(self, rows: Sequence[Sequence[Any]]) -> Any:
        keys = [cell.key for cell in self.cells]
        return [{key: one for key, one in zip(keys, row, strict=True) if one is not None} for row in rows]


class Kinds(Column):
    """The kinds of pattern that a firing suits: a box to tick for each."""

    words = {Kind.WAX: _("wax"), Kind.RESIN: _("printed resin"), Kind.STONES: _("stones left in wax")}

    def __init__(self, name: str, label: Any, hint: Any = "") -> None:
        super().__init__(name, label, TickBox(), hint, nullable=False)

    def lines(self, texts: Texts) -> list[Line]:
        return [Line([kind], word) for kind, word in self.words.items()]

    def label_of(self, part: str, line: Line) -> Any:
        return line.called

    def split(self, value: Any) -> dict[str, Any]:
        return {str(kind): kind in (value or []) for kind in self.words}

    def join(self, parts: Mapping[str, Any]) -> Any:
        return [str(kind) for kind in self.words if parts.get(str(kind))]

    def gaps(self, parts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
        return iter(())

    def part_at(self, inside: str, parts: Mapping[str, Any]) -> str:
        return str(next(iter(self.words)))
