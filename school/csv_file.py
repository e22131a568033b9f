"""Lists as CSV files for a spreadsheet: UTF-8 with its mark, a header row, and no text that is read as a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal

from django.http import HttpResponse

STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for the start of a formula, or skips before one; the wide forms count too."""

AS_TEXT = "'"
"""Before such a text: a spreadsheet then reads it as text."""

Cell = str | int | float | Decimal | datetime | None
"""What a cell can hold: a number is written plainly, with a point, and never taken for text."""


def csv_of(header: Sequence[object], rows: Iterable[Sequence[Cell]]) -> bytes:
    """Return a list as the bytes of a CSV file."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([_written(str(head)) for head in header])
    writer.writerows([_written(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


def answer_csv(name: str, header: Sequence[object], rows: Iterable[Sequence[Cell]]) -> HttpResponse:
    """Answer a list as a CSV file of that name, to be kept."""
    headers = {"Content-Disposition": f'attachment; filename="{name}.csv"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(csv_of(header, rows), content_type="text/csv; charset=utf-8", headers=headers)


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d %H:%M}"
    if isinstance(cell, str):
        return AS_TEXT + cell if cell.lstrip(" ").startswith(STARTS_FORMULA) else cell
    return f"{Decimal(str(cell)):f}"
