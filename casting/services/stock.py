"""A school's stock: the rows that every new school starts with, read from `fixtures/shelf.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.values.enums import Status
from casting.models import HouseRules
from casting.models.shelf import TYPED, ShelfRow
from casting.presenters.wording import shelf_name
from casting.selectors.shelf import LISTS, stocked_columns
from school.models import School

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@transaction.atomic
def stock_school(school: School) -> None:
    """Stock a school from `fixtures/shelf.json`, its things named in the language of whoever makes the school.

    Rows that it already has stay as they are.
    """
    file = read_fixture("shelf.json")
    shelf, offered = file["shelf"], set(file["offered"])
    for heading, model in LISTS.items():
        listed = [shelf[heading]] if heading == "investment" else shelf[heading]
        sources = {path: said for path, said in file["sources"].items() if path.partition(".")[0] == heading}
        rows = [
            _row(school, model, heading, row, place, heading != "alloys" or row["key"] in offered, sources)
            for place, row in enumerate(listed)
        ]
        model._default_manager.bulk_create(rows, ignore_conflicts=True)
    HouseRules.objects.get_or_create(
        school=school,
        key="house",
        defaults={"name": _("House rules"), "rules": shelf["rules"], "sources": _sources(file["sources"], "rules")},
    )


def _row(
    school: School,
    model: type[ShelfRow],
    heading: str,
    row: Mapping[str, Any],
    place: int,
    offered: bool,
    sources: Mapping[str, Any],
) -> ShelfRow:
    """Make a row of the shelf file the school's own."""
    columns = stocked_columns(model, row)
    place_in_file = "investment" if heading == "investment" else f"{heading}.{row['key']}"
    columns |= {
        "name": shelf_name(columns["name"]),
        "offered": offered,
        "place": place,
        "sources": _sources(sources, place_in_file),
    }
    return model(school=school, key=row["key"], **columns)


def _sources(sources: Mapping[str, Any], place: str) -> dict[str, Any]:
    """Return the sources of a row: by figure, and under "" the source of the whole row."""
    own = {path[len(place) :].lstrip("."): said for path, said in sources.items() if path.startswith(place + ".")}
    return own | ({"": sources[place]} if place in sources else {})


def stock_sources(row: ShelfRow) -> dict[str, Any]:
    """Return the sources that the shelf's file gives a row of that key; nothing for a row that the school made."""
    if isinstance(row, HouseRules):
        return _sources(read_fixture("shelf.json")["sources"], "rules")
    heading = next((heading for heading, model in LISTS.items() if isinstance(row, model)), "")
    place = "investment" if heading == "investment" else f"{heading}.{row.key}"
    return _sources(read_fixture("shelf.json")["sources"], place)


def retold(
    row: ShelfRow,
    before: Mapping[str, Any],
    on: date,
    told: Mapping[str, Any] | None = None,
    by: str = "",
    typed: str = TYPED,
) -> None:
    """Give each figure of a row that the school has changed its new source; the caller saves the row.

    `by` is who changed it; `typed` is how the new source begins.

    `before` is the row's object of a day file before the change, `told` its sources then, if they were changed too:
    what somebody wrote there of the new figure stays.
    """
    now = _parts(row.to_day())
    old = _parts(before)
    who = f" ({by})" if by else ""
    own = {"source": f"{typed}{who}, {on.isoformat()}", "status": str(Status.JUDGEMENT)}
    changed = {figure for figure in now if now[figure] != old.get(figure)} - {"name"}
    kept = {figure for figure in changed if told is not None and row.sources.get(figure) != told.get(figure)}
    row.sources = row.sources | dict.fromkeys(changed - kept, own)


def _parts(values: Mapping[str, Any]) -> dict[str, Any]:
    """The figures of a row by name, those of an object part by part, as in `flask_c.thin`."""
    figures = {name: value for name, value in values.items() if name not in ("key", "from_memory")}
    parts: dict[str, Any] = {}
    for name, value in figures.items():
        nested = isinstance(value, dict) and name != "composition_pct"
        parts |= {f"{name}.{part}": inner for part, inner in value.items()} if nested else {name: value}
    return parts


def read_fixture(name: str) -> dict[str, Any]:
    """Read a JSON file of `fixtures/`."""
    file: dict[str, Any] = json.loads((FIXTURES / name).read_text("utf-8"))
    return file
