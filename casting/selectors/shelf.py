"""The rows of a school's shelf, what it works with first. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import Field

from casting.dayfile.shelf_file import shelf
from casting.models import Alloy, Firing, FlaskSize, HouseRules, Investment, Kiln, PatternMaterial
from casting.models.equipment import usual_rule
from casting.models.shelf import ShelfRow
from school.models import School

LISTS: dict[str, type[ShelfRow]] = {
    "alloys": Alloy,
    "patterns": PatternMaterial,
    "investment": Investment,
    "flask_sizes": FlaskSize,
    "firings": Firing,
    "kilns": Kiln,
}
"""The lists of a shelf as a day file calls them."""


def stocked_columns(model: type[ShelfRow], stock: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row of the shelf's file as the columns that a school gets of it; what it leaves out is empty."""
    columns: dict[str, Any] = {}
    for figure in model.figures:
        column = model._meta.get_field(figure)
        assert isinstance(column, Field)
        columns[figure] = stock.get(figure, None if column.null else column.get_default())
    columns["name"] = stock.get("name") or stock["key"].replace("-", " ").capitalize()
    return columns


def stock_of(row: ShelfRow) -> dict[str, Any]:
    """Return what the shelf's file has in each column of a row; nothing for a row that the school made itself."""
    if isinstance(row, HouseRules):
        return {key: usual_rule(key) for key in row.figures}
    heading = next((heading for heading, model in LISTS.items() if isinstance(row, model)), "")
    values: Any = shelf().values.get(heading, [])
    listed: list[dict[str, Any]] = values if isinstance(values, list) else [values]
    stock = next((one for one in listed if one["key"] == row.key), None)
    return stocked_columns(type(row), stock) if stock else {}


def shelf_rows(school: School) -> dict[str, list[ShelfRow]]:
    """Return every row of a school's shelf by the list it is in. A query for each list."""
    return {
        heading: list(model._default_manager.filter(school=school).order_by("-offered", "place", "key"))
        for heading, model in LISTS.items()
    }


def house_rules(school: School) -> HouseRules | None:
    """Return the school's house rules; None if it goes by the usual ones. One query."""
    found: HouseRules | None = HouseRules.objects.at(school).first()
    return found


def names_of(school: School) -> dict[str, str]:
    """Return what each metal and each material of a school is called, by its key. Two queries."""
    rows = [row for model in (Alloy, PatternMaterial) for row in model._default_manager.filter(school=school)]
    return {row.key: row.name for row in rows}
