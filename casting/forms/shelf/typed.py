"""What a teacher has typed into the boxes of a thing, held against the shelf's values and another teacher's."""

from __future__ import annotations

import copy
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from casting.forms.shelf.columns import Column, Rows
from casting.forms.shelf.describe import columns_for
from casting.forms.shelf.form import LONGEST_NAME, Typed, box_name, stored_texts, texts_in
from casting.models.shelf import TYPED, ShelfRow
from casting.selectors.shelf import stock_of


@dataclass(frozen=True, slots=True)
class Moved:
    """A column that somebody else has changed: what the page showed, what is stored now, who typed it, and whether
    both typed there."""

    label: Any
    before: str
    now: str
    who: str
    both: bool


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """What to show after somebody else has saved: the boxes to go on from, and what was changed."""

    typed: Typed
    moved: Sequence[Moved]


def copy_of(row: ShelfRow) -> ShelfRow:
    """Return a new row like another, not saved, with a name of its own; it has a key only once it is saved."""
    new = copy.copy(row)
    new.name = f"{row.name[: LONGEST_NAME - 2]} 2"
    new.pk, new.key, new.version, new.offered = None, "", 1, True
    new._state = type(row._state)()
    return new


def put_back(typed: Typed, row: ShelfRow, name: str) -> dict[str, str]:
    """Return what is typed with the shelf's value in the boxes of a column."""
    stock = stock_of(row)
    column = next((column for column in columns_for(type(row), row.school) if column.name == name), None)
    if column is None or name not in stock:
        return dict(typed)
    return _with(typed, column, column.texts(stock[name]))


def rearranged(typed: Typed, row: ShelfRow, name: str, nth: int, do: str) -> dict[str, str]:
    """Return what is typed with a row of a table moved, taken out, or an empty one put under it."""
    column = next((column for column in columns_for(type(row), row.school) if column.name == name), None)
    if not isinstance(column, Rows):
        return dict(typed)
    own = texts_in(typed, column)
    keys = [cell.key for cell in column.cells]
    count = len(column.lines(own))
    rows = [[own.get(f"{one}-{key}", "") for key in keys] for one in range(count)]
    other = nth + {"up": -1, "down": 1}.get(do, 0)
    if not (0 <= nth < count and 0 <= other < count):
        return dict(typed)
    if do == "out":
        del rows[nth]
    elif do == "under":
        rows.insert(nth + 1, [""] * len(keys))
    else:
        rows[nth], rows[other] = rows[other], rows[nth]
    texts = {f"{one}-{key}": text for one, row in enumerate(rows) for key, text in zip(keys, row, strict=True)}
    return _with(typed, column, texts)


def _with(typed: Typed, column: Column, texts: Typed) -> dict[str, str]:
    """Return what is typed with other texts in all boxes of a column."""
    others = {box: text for box, text in typed.items() if box.partition("-")[0] != column.name}
    return others | {box_name(column, part): text for part, text in texts.items()}


def meanwhile(typed: Typed, row: ShelfRow) -> Meanwhile:
    """Return what this teacher typed over what is stored now; a column left alone takes what is stored now."""
    seen = _seen(typed)
    columns = columns_for(type(row), row.school)
    now = stored_texts(row, columns)
    going_on, moved = dict(typed), []
    for column in columns:
        theirs, shown, mine = (_filled(texts_in(texts, column)) for texts in (now, seen, typed))
        own = mine != shown
        if not own:
            going_on = _with(going_on, column, texts_in(now, column))
        if theirs != shown:
            moved.append(Moved(column.label, _in_words(shown), _in_words(theirs), _who(row, column), own))
    return Meanwhile(going_on, moved)


def _who(row: ShelfRow, column: Column) -> str:
    """Who typed what a column has now, as its source says it; nothing if it is the shelf's."""
    told = [origin["source"] for figure, origin in row.sources.items() if figure.partition(".")[0] == column.name]
    return next((source for source in told if source.startswith(TYPED)), "")


def _filled(texts: Typed) -> dict[str, str]:
    return {part: text.strip() for part, text in texts.items() if text.strip()}


def _in_words(texts: Typed) -> str:
    return " ".join(texts.values())


def _seen(typed: Typed) -> dict[str, str]:
    """Return what the page showed when it was opened, as it carries it; nothing if that cannot be read."""
    try:
        seen = json.loads(typed.get("seen", ""))
    except ValueError:
        return {}
    return {box: str(text) for box, text in seen.items()} if isinstance(seen, dict) else {}
