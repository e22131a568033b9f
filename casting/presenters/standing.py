"""The board of a day as it stands: its flasks and spots, ready to be asked what takes a wax."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.advice.carrying import Board, laid_out, on_trunk
from casting.calc.advice.on_tree import without
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.values.day_input import DayInput
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask
from casting.dayfile import Day, day_of
from casting.models import CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.refusals import refusal_of
from casting.selectors.board import Kept, flasks_that_lost, kept_now, rows_placed
from casting.selectors.day_file import day_values_of

Flasks = tuple[PlacedFlask, ...]


@dataclass(frozen=True)
class Standing:
    """The board before a move: the day with its flasks as they stand, and what is kept."""

    day: Day
    flasks: Flasks
    kept: Kept
    held: Mapping[str, str]
    units: SchoolUnits
    bowls: Sequence[Mapping[str, Any]] = ()
    """The bowls of the plan that is shown, as its file has them."""

    @cached_property
    def board(self) -> Board:
        """What answers for these flasks."""
        return Board(self.day.day, self.flasks)

    @property
    def metals(self) -> dict[str, str]:
        """What the middle of a sentence calls the day's metals, by key."""
        return {key: alloy.called for key, alloy in self.day.day.alloys.items()}

    def flask(self, label: str) -> PlacedFlask:
        """The flask of that label; refused if the board has none, or it is on the bench."""
        found = next((flask for flask in self.flasks if flask.label == label), None)
        if found is None:
            raise NotPlanned(_("The board has no flask %(label)s.") % {"label": label or "?"})
        return found

    def open_flask(self, label: str) -> PlacedFlask:
        """The flask of that label; refused if it is on the bench."""
        if label in self.day.day.fixed:
            raise NotPlanned(_("Flask %(label)s is on the bench and stays as it is.") % {"label": label})
        return self.flask(label)

    def home(self, tag: str) -> str:
        """The label of the flask in which a wax stands, empty if in none; refused if the day has no such wax."""
        if tag not in {wax.key for wax in self.day.day.waxes}:
            raise NotPlanned(_("This day has no wax %(tag)s.") % {"tag": tag or "?"})
        return next((flask.label for flask in self.flasks if tag in flask.keys), "")

    def open_home(self, tag: str) -> str:
        """As `home`; refused if that flask is on the bench."""
        label = self.home(tag)
        if label:
            self.open_flask(label)
        return label


def standing_of(day: CastingDay, plan: Plan | None, values: Mapping[str, Any] | None = None) -> Standing:
    """Return the board as a plan shows it, with the day's rows as they are now; without a plan no wax stands.

    `values` is the day file of those rows, where it is known.
    """
    values = {**(values or day_values_of(day))}
    tags = {wax["key"] for wax in values["waxes"]}
    rows = rows_placed(plan.file, tags) if plan else []
    home = {wax["key"]: row["label"] for row in rows for wax in row["waxes"]}
    held = {tag: label for tag, label in values["held"].items() if home.get(tag) == label}
    kept = kept_now(day)
    reach = {tag: why for tag, why in kept.reach.items() if tag in home}
    asked = values | {"held": held, "placed": rows, "kept_out": sorted(tags - home.keys()), "reach_overruled": reach}
    try:
        read = day_of({name: part for name, part in asked.items() if part or name not in ("placed", "kept_out")})
    except Refused as refused:
        raise NotPlanned(refusal_of(refused, asked, units_of(day.course.school))) from None
    lost = flasks_that_lost(plan.file, tags) if plan else frozenset()
    left = what_is_left(read.day, lost.difference(read.day.fixed))
    return Standing(read, left, kept, held, units_of(day.course.school), plan.file["bowls"] if plan else ())


def what_is_left(day: DayInput, lost: Collection[str]) -> Flasks:
    """Return the flasks of a day as placed, those of `lost` without the waxes that are gone: a tree has its tiers anew.

    On a cone they stay, and one alone stands on the axis already (`rows_placed`).
    """
    if not lost:
        return day.placed
    rules = FlaskRules(day)
    trees = {flask.label for flask in day.placed if flask.label in lost and rules.bases[flask.size].trunk is not None}
    return tuple(
        laid_out(flask, without(rules, on_trunk(flask.spots), flask.size)) if flask.label in trees else flask
        for flask in day.placed
    )
