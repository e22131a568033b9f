"""The rehearsal of a school, and what stands in for a thing that the invented class wants and the school has not."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from casting.dayfile.shelf_file import FIXTURES
from casting.models import CastingDay
from casting.models.shelf import ShelfRow
from school.models import School

Stand = Callable[[str], Any]
"""Returns the row for a key of the invented class."""


def invented_class() -> dict[str, Any]:
    """Return the class of `fixtures/demo_class.json`."""
    file: dict[str, Any] = json.loads((FIXTURES / "demo_class.json").read_text("utf-8"))
    return file


def stand_in(model: type[ShelfRow], school: School) -> Stand:
    """Return a function from a key of the shelf to the row that the school works with. One query.

    Where it does not work with that one, the first of the same kind stands in, else the first of all.
    """
    every = {row.key: row for row in model._default_manager.filter(school=school)}
    offered = [row for row in every.values() if row.offered]

    def find(key: str) -> Any:
        wanted = every.get(key)
        if wanted is not None and wanted.offered:
            return wanted
        kind = getattr(wanted, "kind", None)
        return next((row for row in offered if getattr(row, "kind", None) == kind), offered[0])

    return find


def rehearsal_day(school: School) -> CastingDay | None:
    """Return the day of the school's rehearsal; None if there is none. One query."""
    days = CastingDay.objects.filter(course__school=school, course__is_rehearsal=True)
    return days.select_related("course__school").first()
