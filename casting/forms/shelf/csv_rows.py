"""The shelf as rows for a spreadsheet: one for each figure that is recorded, in the school's units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django.utils import formats
from django.utils.translation import gettext as _

from casting.forms.shelf.columns import Column
from casting.forms.shelf.describe import columns_for
from casting.models.shelf import ShelfRow
from casting.presenters.shelf_page import Kind
from school.csv_file import Cell
from school.models import School


def shelf_header() -> list[str]:
    """Return what stands over the columns."""
    return [_("Kind"), _("Name"), _("Worked with"), _("Figure"), _("Value"), _("Unit")]


def shelf_rows(kinds: Iterable[Kind], school: School) -> Iterator[Sequence[Cell]]:
    """Yield each recorded figure of each thing of these kinds, put-away ones too. One query for each kind."""
    for kind in kinds:
        columns = columns_for(kind.model, school)
        for row in kind.model._default_manager.filter(school=school).order_by("place", "key"):
            used = _("yes") if row.offered else _("put away")
            for column in columns:
                if column.name != "name":
                    yield from ((str(kind.one), row.name, used, *figure) for figure in _figures(row, column))


def _figures(row: ShelfRow, column: Column) -> Iterator[tuple[str, Cell, str]]:
    """What each box of a column is called, holds and is measured in; empty ones are left out."""
    raw = column.split(getattr(row, column.name))
    texts = {part: text for part, text in column.texts(getattr(row, column.name)).items() if text}
    for line in column.lines(texts):
        for part in line.parts:
            if part in texts:
                box = column.box_of(part)
                yield str(column.label_of(part, line)), _value(raw.get(part), texts[part], box), str(box.after)


def _value(raw: Any, text: str, box: Any) -> Cell:
    """A number as a number, a choice in its words, and text as it is."""
    if isinstance(raw, int | float | Decimal) and not isinstance(raw, bool):
        try:
            return Decimal(text.replace(formats.get_format("DECIMAL_SEPARATOR"), "."))
        except InvalidOperation:
            return text
    return str({str(key): word for key, word in getattr(box, "choices", ())}.get(text, text))
