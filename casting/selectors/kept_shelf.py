"""A school's shelf as a day file has it, and its prices, read once and kept until they change. Reads only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from casting.models import (
    Alloy,
    CastingDay,
    Firing,
    FlaskSize,
    HouseRules,
    Investment,
    Kiln,
    PatternMaterial,
    PriceList,
    RubberBase,
    Wax,
)
from casting.models.shelf import ShelfRow
from casting.selectors.account.bills import prices_of
from school.models import School, SchoolMark

SCHOOLS_KEPT = 16
"""So many shelves are kept in a process; one of some forty rows takes about 50 KB."""


@dataclass(frozen=True, slots=True)
class KeptRow:
    """A row of the shelf, and what a day file has of it. Nobody changes either."""

    row: ShelfRow
    day: dict[str, Any]


class KeptShelf:
    """All rows of a school's shelf, put away or not; `prices` are those that its bills are made by, if it keeps any."""

    def __init__(self, school_id: int) -> None:
        models: tuple[type[ShelfRow], ...] = (Alloy, PatternMaterial, Investment, FlaskSize, Kiln, Firing, HouseRules)
        self._rows = {model: _read(model, school_id) for model in models}
        self._by_pk = {model: {kept.row.pk: kept.row for kept in rows} for model, rows in self._rows.items()}
        self.bases = tuple(RubberBase.objects.filter(school_id=school_id))
        last = PriceList.objects.filter(school_id=school_id).first()
        self.prices = prices_of(last) if last else None
        self._offered: dict[int, Sequence[Any]] = {}

    def rows(self, model: type[ShelfRow], wanted: Callable[[Any], bool] | None = None) -> list[dict[str, Any]]:
        """Return rows as a day file has them: those worked with, or those that are wanted.

        They stand in the school's order, the same whatever order the database has for letters.
        """
        asked = wanted or (lambda row: row.offered)
        return [dict(kept.day) for kept in self._rows[model] if asked(kept.row)]

    def row(self, model: type[ShelfRow], pk: int | None) -> Any:
        """Return the row of this key, put away or not; None if there is none."""
        return self._by_pk[model].get(pk)

    def worked_with(self, model: type[ShelfRow]) -> list[Any]:
        """Return the rows themselves that the school works with, in its order."""
        return [kept.row for kept in self._rows[model] if kept.row.offered]

    def offered_on(self, day_id: int) -> Sequence[Alloy]:
        """Return the metals that a casting day offers, put away or not, in the school's order. One query for each day.

        The day's own rows are watched too, so they are kept as long as the shelf.
        """
        if day_id not in self._offered:
            there = CastingDay.alloys.through.objects.filter(castingday=day_id).values_list("alloy_id", flat=True)
            asked = set(there)
            self._offered[day_id] = tuple(kept.row for kept in self._rows[Alloy] if kept.row.pk in asked)
        return self._offered[day_id]


def _read(model: type[ShelfRow], school_id: int) -> list[KeptRow]:
    rows = model._default_manager.filter(school_id=school_id).order_by()
    return [KeptRow(row, row.to_day()) for row in sorted(rows, key=lambda row: (row.place, row.key))]


@lru_cache(maxsize=SCHOOLS_KEPT)
def _kept(school_id: int, _mark: str) -> KeptShelf:
    return KeptShelf(school_id)


def shelf_at(school: School) -> KeptShelf:
    """Return the school's shelf as it is now: one query, and those that read it if it has changed since.

    Of a school that is kept itself, as a student's is, no query: its shelf as it was when the request began. The mark
    is read first: rows that change after it are kept under a mark that nobody has any more.
    """
    mark = school.known_by or SchoolMark.objects.filter(school=school.pk).values_list("mark", flat=True).first()
    return _kept(school.pk, mark) if mark else KeptShelf(school.pk)


def metals_offered(day: CastingDay) -> Sequence[Alloy]:
    """Return the metals that a casting day offers, in the school's order, as `shelf_at` has them."""
    return shelf_at(day.course.school).offered_on(day.pk)


MADE_OF: tuple[tuple[str, type[ShelfRow]], ...] = (
    ("alloy", Alloy), ("second_alloy", Alloy), ("pattern", PatternMaterial), ("sprue_pattern", PatternMaterial),
)  # fmt: skip
"""What a wax is made of: its columns, and the lists of the shelf that they are rows of."""


def standing_waxes(day: CastingDay, *joined: str) -> list[Wax]:
    """Return the day's standing waxes by tag, as `standing` does with these rows `joined` to it. Two queries."""
    rows = day.waxes.standing().with_photo_keys().select_related(None).select_related("student", *joined)
    return with_shelf(rows, day.course.school)


def with_shelf(rows: Iterable[Wax], school: School) -> list[Wax]:
    """Return waxes of a school with the kept rows of the shelf that they are made of. One query, and that of the rows.

    To read these again with each wax takes longer than all else of it.
    """
    waxes, shelf = list(rows), shelf_at(school)
    for wax in waxes:
        for name, model in MADE_OF:
            if row := shelf.row(model, getattr(wax, f"{name}_id")):
                setattr(wax, name, row)
    return waxes
