"""What a teacher has typed into the boxes of a thing, held against the shelf's values and another teacher's."""

from __future__ import annotations

import copy

from django.http import QueryDict

from casting.forms.shelf.columns import Column, Rows
from casting.forms.shelf.describe import columns_for
from casting.forms.shelf.form import LONGEST_NAME, ThingForm, Typed, box_name, texts_in
from casting.models.shelf import TYPED, ShelfRow
from casting.presenters.wording import shelf_name
from casting.selectors.shelf import stock_of
from school.forms.versioned import Since, since


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
    value = shelf_name(stock[name]) if name == "name" else stock[name]
    return _with(typed, column, column.texts(value))


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


def meanwhile(typed: QueryDict, row: ShelfRow) -> Since:
    """Return what this teacher typed over what is stored now; a column left alone takes what is stored now."""
    columns = {column.name: column for column in columns_for(type(row), row.school)}
    labels = {name: column.label for name, column in columns.items()}
    now = ThingForm(None, row=row)
    return since(typed, now, lambda name: typed_by(row, name), labels, lambda box: box.partition("-")[0])


def typed_by(row: ShelfRow, name: str) -> str:
    """Return who typed what a column has now, as its source says it; nothing if it is the shelf's."""
    told = [origin["source"] for figure, origin in row.sources.items() if figure.partition(".")[0] == name]
    return next((source for source in told if source.startswith(TYPED)), "")
