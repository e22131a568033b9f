"""The next plan of a board as files, made while nothing is locked, so that others write meanwhile.

Each knows the rows of the day that it was made of, and whoever stores it asks whether they are the same still.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from typing import Any

from casting import solve
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask
from casting.dayfile import Day, day_of
from casting.dayfile.done import PourTooSoon
from casting.models import CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import units_of
from casting.presenters.refusals import refusal_of
from casting.presenters.standing import what_is_left
from casting.selectors.board import Kept, flasks_that_lost, rows_placed
from casting.selectors.day_file import day_text_of, day_values_of
from casting.selectors.kept_shelf import standing_waxes
from casting.services.board_moves import Moved

Files = tuple[str, str]


SPARE, EVERY = timedelta(minutes=10), timedelta(minutes=5)
"""At the very earliest first pour whatever is done next on the board would be too late: so much is left for it."""


class TooLate(NotPlanned):
    """There is no time left for the first pour of the day; `later` is one that leaves some to go on, if any does."""

    def __init__(self, sentence: str, earliest: datetime | None) -> None:
        self.later = None if earliest is None else _with_spare(earliest)
        super().__init__(sentence)


def _with_spare(earliest: datetime) -> datetime:
    """A first pour that leaves the spare minutes, up to a time that is easily said."""
    at = earliest + SPARE
    return at + timedelta(minutes=-at.minute % (EVERY // timedelta(minutes=1)))


@dataclass(frozen=True, slots=True)
class DayRows:
    """Which rows of a day a plan is made of: with what is kept, `without` a wax, and with one that comes `back`."""

    kept: Kept = field(default_factory=Kept)
    without: str = ""
    back: str = ""

    def values_of(self, day: CastingDay) -> dict[str, Any]:
        """Return the values of the day file as the rows are now. Raises `NotPlanned` if none can be made."""
        waxes = [wax for wax in standing_waxes(day) if wax.tag != self.without]
        if self.back:
            waxes += day.waxes.filter(tag=self.back, withdrawn_at__isnull=False)
        return day_values_of(day, waxes, self.kept)


@dataclass(frozen=True, slots=True)
class Draft:
    """The files of a plan that is not stored yet, and the day's values that they were made of; None if of no rows."""

    files: Files
    rows: DayRows
    values: Mapping[str, Any] | None = None

    def is_of(self, day: CastingDay) -> bool:
        """Tell whether the day's rows are still those that it was made of."""
        return self.values is None or self.rows.values_of(day) == self.values


def planned(day: CastingDay, rows: DayRows, after: Moved) -> Draft:
    """Plan the board after a move: nothing is searched for, everything is checked.

    Raises `NotPlanned` with the sentence of whatever the board breaks then, `TooLate` if that is its first pour.
    """
    values = rows.values_of(day)
    inside = {key for flask in after.flasks for key in flask.keys}
    placed = [_row(flask) for flask in sorted(after.flasks, key=lambda flask: (len(flask.label), flask.label))]
    parts: dict[str, Any] = {
        "placed": placed,
        "kept_out": sorted(wax["key"] for wax in values["waxes"] if wax["key"] not in inside),
        "reach_overruled": {tag: why for tag, why in after.kept.reach.items() if tag in inside},
    }
    held = dict(sorted((tag, label) for tag, label in after.held.items() if tag in inside))
    asked = values | {"held": held} | _given(parts)
    return Draft(_checked(day, asked), rows, values)


def as_before(plan: Plan, after: Moved) -> Draft:
    """Return the files of the last plan, with what is held in them: every wax stands where it stood."""
    inside = {wax["key"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    held = dict(sorted((tag, label) for tag, label in after.held.items() if tag in inside))
    values = plan.day_values | {"held": held}
    return Draft((json.dumps(values, indent=1, ensure_ascii=False) + "\n", plan.plan_file), DayRows())


def again(day: CastingDay, plan: Plan, rows: DayRows) -> Draft:
    """Return the files of an earlier plan; if the day's rows have moved on, the same board planned anew.

    What is on the bench stays as it was invested.
    """
    values, was, broken = rows.values_of(day), plan.day_values, rows.kept.broken
    tags = {wax["key"] for wax in values["waxes"]}
    now = values | {"held": {tag: label for tag, label in was.get("held", {}).items() if tag in tags}}
    stood = {wax["key"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    names = (now.keys() | was.keys()) - {"previous", "now", "charged_g", "placed", "kept_out", "reach_overruled"}
    if not stood & broken and all((now.get(name) or None) == (was.get(name) or None) for name in names):
        return Draft((plan.day_file, plan.plan_file), rows, values)
    states, whole = day.states(), tags - broken
    last = Plan.objects.latest_of(day)
    bench = [row for row in rows_placed(last.file, tags) if row["label"] in states] if last and states else []
    poured = {wax["key"] for row in bench for wax in row["waxes"]}
    placed = bench + [row for row in rows_placed(plan.file, whole - poured) if row["label"] not in states]
    inside: Sequence[str] = [wax["key"] for row in placed for wax in row["waxes"]]
    now["held"] = {tag: label for tag, label in now["held"].items() if tag in inside}
    if lost := flasks_that_lost(plan.file, whole - poured).difference(states):
        placed = [_row(flask) for flask in what_is_left(_read(day, now | {"placed": placed}).day, lost)]
    parts = {"placed": placed, "kept_out": sorted(tags.difference(inside))}
    return Draft(_checked(day, now | _given(parts)), rows, values)


def _given(parts: Mapping[str, Any]) -> dict[str, Any]:
    return {name: part for name, part in parts.items() if part}


def _checked(day: CastingDay, values: Mapping[str, Any]) -> Files:
    text = day_text_of(day, values)
    read = _read(day, json.loads(text))
    try:
        return text, solve.check(read)
    except Refused as refused:
        sentence = refusal_of(refused, json.loads(text), units_of(day.course.school))
        if isinstance(refused, PourTooSoon):
            raise TooLate(sentence, refused.earliest) from None
        raise NotPlanned(sentence) from None


def _read(day: CastingDay, values: Mapping[str, Any]) -> Day:
    try:
        return day_of(values)
    except Refused as refused:
        raise NotPlanned(refusal_of(refused, values, units_of(day.course.school))) from None


def _row(flask: PlacedFlask) -> dict[str, Any]:
    """A flask as a day file places it."""
    inside = [{"key": wax.key} | (asdict(wax.spot) if wax.spot else {}) for wax in flask.waxes]
    return {"label": flask.label, "size": flask.size, "whole": flask.whole, "waxes": inside}
