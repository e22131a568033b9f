"""Savings: single changes of a day, cheapest first, each planned to see whether it saves a flask."""

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
from casting.calc.quantities.charge import charge_limit, metal_of_wax
from casting.calc.values.day_input import SCHOOL, DayInput, Wax
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.errors import Refused
from casting.calc.values.tolerances import SLACK

LARGER_CRUCIBLE = 1.5
"""The next crucible holds about half as much again (common makers' rows: 12, 18, 24, 36 ml)."""


class ChangeKind(StrEnum):
    """Kinds of change, from what costs least: a cut, a flask, a crucible, another metal for a student's piece."""

    SPRUE = "sprue"
    FLASK = "flask"
    CRUCIBLE = "crucible"
    METAL = "metal"


@dataclass(frozen=True, slots=True)
class Change:
    """One change: cut a wax's sprue, add a flask of a size, take a larger crucible, cast a wax in another alloy.

    `what` is the key of the wax or the size, empty for the crucible; `by` is the cut [mm] or what the
    crucible holds [ml]; `to` is the alloy.
    """

    kind: ChangeKind
    what: str = ""
    by: float = 0.0
    to: str = ""


@dataclass(frozen=True, slots=True)
class CurrentPlan:
    """The plan to improve on: its flasks, and the waxes it leaves out."""

    flasks: int
    left_out: frozenset[str]


@dataclass(frozen=True, slots=True)
class Trial:
    """Progress after one change, with the change and its plan if that saves a flask.

    `passed` counts the changes done, out of `of`: ruled out by a bound, planned, or passed over.
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
        The day of the current plan.
    present : CurrentPlan
        Flasks and left-out waxes of that plan.
    effort : int
        Work units for each changed day.

    Yields
    ------
    Trial
        After each change. A change is ruled out if a bound proves that no plan of the changed day has
        fewer flasks. It is passed over if a cheaper one of its kind saves a flask, or enough of its kind
        were planned. `plan` has fewer flasks, no more waxes and no more first pieces left out, and the
        unchanged day does not allow it. Flasks made by hand count as open to change, unless they are fixed,
        and `plan` has fewer flasks than the day without them has, too.
    """
    if day.placed:
        day = _free_of_hand(day)
        present = _fewer(present, _planned(day, effort))
    every = changes(day)
    passed = ruled_out = planned = 0
    for kind, of_kind in groupby(every, key=lambda change: change.kind):
        helps = _may_help(_relaxed_day(day, kind), present)
        left, saved = CHANGES_OF_A_KIND, False
        for change in of_kind:
            passed += 1
            plan = None
            if not saved and left:
                after = apply_change(day, change)
                if helps and _may_help(after, present):
                    planned, left = planned + 1, left - 1
                    found = _planned(after, effort)
                    if found and _saves(day, present, change, found):
                        plan, saved = found, True
                else:
                    ruled_out += 1
            yield Trial(passed, len(every), ruled_out, planned, change if plan else None, plan)


def _free_of_hand(day: DayInput) -> DayInput:
    """The day with only its fixed flasks as they were made by hand."""
    placed = tuple(flask for flask in day.placed if flask.label in day.fixed)
    spots = {key for flask in placed for key in flask.spots}
    overruled = {key: why for key, why in day.reach_overruled.items() if key in spots}
    return replace(day, placed=placed, reach_overruled=overruled)


def _fewer(present: CurrentPlan, own: DayPlan | None) -> CurrentPlan:
    """The plan made by hand, or the program's own if that has fewer flasks and leaves no more out."""
    if own is None or len(own.flasks) >= present.flasks or len(own.left_out) > len(present.left_out):
        return present
    return CurrentPlan(len(own.flasks), frozenset(left.key for left in own.left_out))


def changes(day: DayInput) -> tuple[Change, ...]:
    """Return the single changes to try on a day, cheapest first.

    Parameters
    ----------
    day : DayInput
        The day.

    Returns
    -------
    tuple of Change
        Sprues by the mm to cut, flasks by their volume, the crucible, then metals, starting with the waxes
        whose metal fewest others have. A wax in a fixed flask, and a student's own metal, stay as they are.
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
    """For each wax, the shortest cuts that open up another flask size."""
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
    """The day with sprues cut, of all waxes or one; weights stay as weighed, which is a margin."""
    waxes = (
        replace(wax, height_mm=max(wax.height_mm - cut_mm, SLACK)) if only in ("", wax.key) else wax
        for wax in day.waxes
    )
    return replace(day, waxes=tuple(waxes))


def _relaxed_day(day: DayInput, kind: ChangeKind) -> DayInput | None:
    """A day that is a relaxation of every single change of a kind; None if the kind has no such day."""
    if kind is ChangeKind.SPRUE:
        return _cut(day, day.rulebook.limit("sprue_cut_most_mm"))
    if kind is ChangeKind.FLASK:
        return replace(day, flask_sizes=tuple(replace(size, count=size.count + 1) for size in day.flask_sizes))
    return None


def apply_change(day: DayInput, change: Change) -> DayInput:
    """Return the day with one change applied.

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


def metal_more(day: DayInput, key: str, to: str) -> float | None:
    """Return what a wax's own metal costs more in another alloy.

    Parameters
    ----------
    day : DayInput
        The day.
    key : str
        A wax of the day.
    to : str
        The alloy that it would be cast in.

    Returns
    -------
    float or None
        The metal of the piece alone, without button, by the school's prices [currency]; negative if it costs less.
        None if one of the two metals has no price, which is not a price of nothing.
    """
    wax, other = day.wax(key), replace(day.wax(key), alloy=to)
    now, then = day.alloys[wax.alloy], day.alloys[to]
    if now.price_per_g is None or then.price_per_g is None:
        return None
    return metal_of_wax(other, day) * then.price_per_g - metal_of_wax(wax, day) * now.price_per_g


def _may_help(day: DayInput | None, present: CurrentPlan) -> bool:
    """False if bounds prove that no plan of the day that leaves out as few waxes has fewer flasks."""
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
    """The plan of a changed day; None if that day's held or fixed waxes cannot be kept."""
    try:
        return plan_day(day, effort)
    except Refused:
        return None


def _saves(day: DayInput, present: CurrentPlan, change: Change, plan: DayPlan) -> bool:
    """Whether a plan has fewer flasks with no more waxes left out, and relies on the change for it."""
    out = {left.key for left in plan.left_out}
    firsts = {wax.key for wax in day.waxes if wax.piece == 1}
    return (
        len(plan.flasks) < present.flasks
        and len(out) <= len(present.left_out)
        and len(out & firsts) <= len(present.left_out & firsts)
        and _relies_on_change(day, change, plan)
    )


def _relies_on_change(day: DayInput, change: Change, plan: DayPlan) -> bool:
    """Whether the unchanged day does not allow this plan."""
    if change.kind is ChangeKind.FLASK:
        return sum(flask.size == change.what for flask in plan.flasks) > day.size(change.what).count
    if change.kind is ChangeKind.CRUCIBLE:
        return any(flask.charge_g > charge_limit(day.alloys[flask.alloy], day.rules) + SLACK for flask in plan.flasks)
    used = next((flask for flask in plan.flasks if change.what in flask.places), None)
    if change.kind is ChangeKind.METAL:
        return used is not None
    return used is not None and used.size not in FlaskRules(day).alone[change.what]
