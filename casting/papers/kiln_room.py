"""The kiln room's schedule: clock, temperature and a verb a row, read from two metres away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from casting.calc.words import Do
from casting.models import Plan
from casting.opened import open_plan, outdated
from casting.papers.handout_words import DOOR_SHUT_TO_C, NO_REHEAT_UNDER_C
from casting.reading import KilnNight, PlanSheet
from casting.shown import degrees

ROWS_A_SHEET = 7
"""As many rows as can be read from two metres away on one landscape sheet."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing to do at a kiln; no temperature where nothing is set or read."""

    at: datetime
    verb: str
    to_c: float | None
    new_day: bool = False


@dataclass(frozen=True, slots=True)
class KilnSheets:
    """One kiln: its rows, seven to a sheet, and its firing."""

    night: KilnNight
    sheets: tuple[tuple[Row, ...], ...]


def kiln_room_html(plan: Plan) -> str | None:
    """Return the page of the schedule, or None if no kiln is fired."""
    opened = open_plan(plan)
    if not opened.sheet.kilns:
        return None
    context = {
        "opened": opened,
        "outdated": outdated(plan),
        "sheet": opened.sheet,
        "units": opened.units,
        "school": opened.school,
        "kilns": [KilnSheets(night, sheets_of(rows_of(opened.sheet, night))) for night in opened.sheet.kilns],
        "door_shut": degrees(DOOR_SHUT_TO_C, opened.units),
        "not_reheated_below": degrees(NO_REHEAT_UNDER_C, opened.units),
    }
    return render_to_string("papers/kiln_room.html", context)


def rows_of(sheet: PlanSheet, night: KilnNight) -> list[Row]:
    """Return what is done at a kiln, in order; at the same minute a flask is poured before the kiln falls."""
    pours = [Row(flask.out_at, _("POUR %(flask)s") % {"flask": flask.label}, flask.flask_c) for flask in night.flasks]
    return sorted([*_loading(sheet, night), *pours, *_firing(night)], key=lambda row: row.at.astimezone(UTC))


def _loading(sheet: PlanSheet, night: KilnNight) -> list[Row]:
    """The flasks go in together, as the studio closes or as the kiln goes on."""
    loads = [step for step in sheet.steps_of(Do.LOAD) if step.kiln == night.kiln.key]
    at = sorted({step.at for step in loads})
    return [
        Row(time, _("LOAD %(count)d") % {"count": sum(len(step.flasks) for step in loads if step.at == time)}, None)
        for time in at
    ]


def _firing(night: KilnNight) -> list[Row]:
    rows = []
    for nth, segment in enumerate(night.segments):
        verb = _("KILN ON") if nth == 0 else _("COOL") if segment.cooling else _("RAMP")
        rows.append(Row(segment.starts_at, verb, segment.to_c))
        if segment.ends_at > segment.reached_at:
            rows.append(Row(segment.reached_at, _("SOAK") if segment.cooling else _("HOLD"), segment.to_c))
    return rows


def sheets_of(rows: Sequence[Row]) -> tuple[tuple[Row, ...], ...]:
    """Return the rows by sheets; the weekday stands on each sheet's first row and past each midnight."""
    sheets = []
    for first in range(0, len(rows), ROWS_A_SHEET):
        before, marked = None, []
        for row in rows[first : first + ROWS_A_SHEET]:
            marked.append(replace(row, new_day=row.at.date() != before))
            before = row.at.date()
        sheets.append(tuple(marked))
    return tuple(sheets)
