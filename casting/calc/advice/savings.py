"""What would save a flask: single changes of a day, cheapest first, each planned before it is told."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import groupby

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import usable_sizes
from casting.calc.grouping.bounds.relaxation import CountRelaxation
from casting.calc.grouping.budget import CHANGES_OF_A_KIND, SAVINGS_EFFORT
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.grouping.preassigned import preassigned_flasks
from casting.calc.plan_day import plan_day
from casting.calc.quantities.charge import charge_limit
from casting.calc.values.day_input import SCHOOL, DayInput, Wax
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.errors import Refused
from casting.calc.values.tolerances import SLACK

LARGER_CRUCIBLE = 1.5
"""The next crucible holds about half as much again (common makers' rows: 12, 18, 24, 36 ml)."""


class ChangeKind(StrEnum):
    """Kinds of change, what costs least first: nothing bought; a flask; a crucible; a student's own choice."""

    SPRUE = "sprue"
    FLASK = "flask"
    CRUCIBLE = "crucible"
    METAL = "metal"


@dataclass(frozen=True, slots=True)
class Change:
    """One change: a wax's sprue shorter by `mm`, one more flask of a size, a crucible of `ml`, a wax's other alloy.

    `what` is the key of the wax or size, empty for the crucible; `to` the alloy, `by` the mm off or the ml held.
    """

    kind: ChangeKind
    what: str = ""
    by: float = 0.0
    to: str = ""


@dataclass(frozen=True, slots=True)
class CurrentPlan:
    """What is to be bettered: the flasks of the plan that stands, and the waxes it leaves out."""

    flasks: int
    left_out: frozenset[str]


@dataclass(frozen=True, slots=True)
class Trial:
    """How far the trying has come, and the plan that the last change saved a flask with, if it did.

    `passed` counts the changes gone through of all: ruled out by a bound, planned, or passed over.
    """

    passed: int
    of: int
    ruled_out: int
    planned: int
    change: Change | None = None
    plan: DayPlan | None = None


def try_changes(day: DayInput, present: CurrentPlan, effort: int = SAVINGS_EFFORT) -> Iterator[Trial]:
    """Try the single changes of a day, cheapest first, until one of each kind saves a flask.

    Parameters
    ----------
    day : DayInput
        The day of the plan that stands.
    present : CurrentPlan
        That plan's flasks and left-out waxes.
    effort : int
        Work units for each changed day.

    Yields
    ------
    Trial
        After each change. It is ruled out where a bound says that no plan of the changed day has
        fewer flasks, and passed over where a cheaper one of its kind saves one or enough of its kind
        were planned. `plan` is a plan of the changed day with fewer flasks, no more waxes and no more
        first pieces left out, which the day as it is would not allow.
    """
    asked = changes(day)
    passed = ruled_out = planned = 0
    for kind, of_kind in groupby(asked, key=lambda change: change.kind):
        helps = _may_help(_all_at_once(day, kind), present)
        left, saved = CHANGES_OF_A_KIND, False
        for change in of_kind:
            passed += 1
            plan = None
            if not saved and left:
                after = apply_change(day, change)
                if helps and _may_help(after, present):
                    planned, left = planned + 1, left - 1
                    plan = _planned(after, effort)
                    saved = plan is not None and _saves(day, present, change, plan)
                else:
                    ruled_out += 1
            yield Trial(passed, len(asked), ruled_out, planned, change if plan and saved else None, plan)


def changes(day: DayInput) -> tuple[Change, ...]:
    """Return the single changes that may be tried of a day, cheapest first.

    Parameters
    ----------
    day : DayInput
        The day.

    Returns
    -------
    tuple of Change
        Sprues by the mm to be cut, flasks by their powder, the crucible, then metals, the waxes with
        fewest of their own metal first. A wax in a fixed flask stays as it is, and a student's own
        metal is the student's.
    """
    fixed = {key for label in day.fixed for key in day.previous[label].waxes}
    loose = [wax for wax in day.waxes if wax.key not in fixed]
    sizes = sorted(day.flask_sizes, key=lambda size: (size.diameter_mm**2 * size.height_mm, size.key))
    crucible_ml = float(math.ceil(day.rules.crucible_ml * LARGER_CRUCIBLE))
    school = [wax for wax in loose if wax.owner == SCHOOL]
    of_alloy = Counter(wax.alloy for wax in school)
    return (
        *_sprues(day, loose),
        *(Change(ChangeKind.FLASK, size.key) for size in sizes),
        Change(ChangeKind.CRUCIBLE, by=crucible_ml),
        *(
            Change(ChangeKind.METAL, wax.key, to=alloy)
            for wax in sorted(school, key=lambda wax: (of_alloy[wax.alloy], wax.key))
            if wax.key not in day.held
            for alloy in sorted(of_alloy)
            if alloy != wax.alloy
        ),
    )


def _sprues(day: DayInput, loose: Sequence[Wax]) -> Iterator[Change]:
    """Each cut that lets a wax into a size that did not take it with less cut off."""
    takes = FlaskRules(day).alone
    reached = {wax.key: set(takes[wax.key]) for wax in loose}
    for cut_mm in range(1, math.floor(day.rulebook.limit("sprue_cut_most_mm")) + 1):
        shorter = FlaskRules(_cut(day, cut_mm)).alone
        for wax in loose:
            more = set(shorter[wax.key]) - reached[wax.key]
            if more and wax.height_mm > cut_mm:
                reached[wax.key] |= more
                yield Change(ChangeKind.SPRUE, wax.key, by=float(cut_mm))


def _cut(day: DayInput, cut_mm: float, only: str = "") -> DayInput:
    """The day with sprues cut; weights stay as weighed, which is a margin."""
    waxes = (
        replace(wax, height_mm=max(wax.height_mm - cut_mm, SLACK)) if only in ("", wax.key) else wax
        for wax in day.waxes
    )
    return replace(day, waxes=tuple(waxes))


def _all_at_once(day: DayInput, kind: ChangeKind) -> DayInput | None:
    """A day at least as easy as with any one change of a kind; None where there is no such day."""
    if kind is ChangeKind.SPRUE:
        return _cut(day, day.rulebook.limit("sprue_cut_most_mm"))
    if kind is ChangeKind.FLASK:
        return replace(day, flask_sizes=tuple(replace(size, count=size.count + 1) for size in day.flask_sizes))
    return None


def apply_change(day: DayInput, change: Change) -> DayInput:
    """Return the day with one change made.

    Parameters
    ----------
    day : DayInput
        The day.
    change : Change
        One of its `changes`.

    Returns
    -------
    DayInput
        The changed day.
    """
    if change.kind is ChangeKind.SPRUE:
        return _cut(day, change.by, change.what)
    if change.kind is ChangeKind.CRUCIBLE:
        return replace(day, rules=replace(day.rules, crucible_ml=change.by))
    if change.kind is ChangeKind.METAL:
        waxes = (replace(wax, alloy=change.to) if wax.key == change.what else wax for wax in day.waxes)
        return replace(day, waxes=tuple(waxes))
    sizes = (replace(size, count=size.count + 1) if size.key == change.what else size for size in day.flask_sizes)
    return replace(day, flask_sizes=tuple(sizes))


def _may_help(day: DayInput | None, present: CurrentPlan) -> bool:
    """False if no plan of the day that leaves out as few has fewer flasks: by bounds alone, without a layout."""
    if day is None:
        return True
    try:
        evaluator = FlaskEvaluator(day)
        fixed = tuple(flask for flask in preassigned_flasks(evaluator) if flask.fixed)
    except Refused:
        return False
    bounds = CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, fixed))
    inside = {key for flask in fixed for key in flask.keys}
    loose = [item for key, item in evaluator.rules.items.items() if key not in inside]
    takes = [item for item in loose if bounds.sizes(item) and not exclusion_reason(evaluator.rules, item.key)]
    beyond = len(present.left_out) - (len(loose) - len(takes))
    if beyond < 0:
        return False
    fewest = CountRelaxation(bounds, takes, Counter(flask.size for flask in fixed)).fewest_flasks(beyond)
    return len(fixed) + fewest < present.flasks


def _planned(day: DayInput, effort: int) -> DayPlan | None:
    """The plan of a changed day; None if what is held or fixed cannot be kept in it."""
    try:
        return plan_day(day, effort)
    except Refused:
        return None


def _saves(day: DayInput, present: CurrentPlan, change: Change, plan: DayPlan) -> bool:
    """Whether a plan has fewer flasks for no more waxes left out, and needs the change for it."""
    out = {left.key for left in plan.left_out}
    firsts = {wax.key for wax in day.waxes if wax.piece == 1}
    return (
        len(plan.flasks) < present.flasks
        and len(out) <= len(present.left_out)
        and len(out & firsts) <= len(present.left_out & firsts)
        and _relies_on_change(day, change, plan)
    )


def _relies_on_change(day: DayInput, change: Change, plan: DayPlan) -> bool:
    """Whether the day as it is would not allow this plan."""
    if change.kind is ChangeKind.FLASK:
        return sum(flask.size == change.what for flask in plan.flasks) > day.size(change.what).count
    if change.kind is ChangeKind.CRUCIBLE:
        return any(flask.charge_g > charge_limit(day.alloys[flask.alloy], day.rules) + SLACK for flask in plan.flasks)
    stands = next((flask for flask in plan.flasks if change.what in flask.places), None)
    if change.kind is ChangeKind.METAL:
        return stands is not None
    return stands is not None and stands.size not in FlaskRules(day).alone[change.what]
