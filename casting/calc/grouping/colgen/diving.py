"""Diving heuristic: fix columns whose layout is likely to exist, allowing fuller flasks step by step."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from casting.calc.grouping.budget import BARRED, WAXES_EASY, WAXES_MANY, WAXES_VERY_MANY, Step
from casting.calc.grouping.colgen.generation import TIE, ColumnGeneration
from casting.calc.grouping.colgen.goals import Goal, GoalLimit
from casting.calc.grouping.colgen.master import Duals, LpResult
from casting.calc.values.arrays import Floats
from casting.calc.values.tolerances import CENT, EASE

EVEN = 0.02
"""Of plans that cost about the same, the roomiest: a full flask weighs this share of the plan's cost."""

POWER = 6
"""Of plans with as few flasks, the one with the least sum of occupancies to this power: one flask too full is too many.
"""


def steps_of(colgen: ColumnGeneration) -> Sequence[Step]:
    """Return how full flasks may be, step by step.

    Parameters
    ----------
    colgen : ColumnGeneration
        The waxes and their budget.

    Returns
    -------
    sequence of Step
        For many waxes without the fullest, for very many without the roomiest too.
    """
    steps, waxes = colgen.budget.steps, len(colgen.loose)
    if waxes <= WAXES_MANY:
        return steps
    return steps[:-1] if waxes <= WAXES_VERY_MANY else steps[1:3]


def improve(colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit], step: Step) -> bool:
    """Look for a plan that is better in a goal, with flasks no fuller than a step allows, and adopt it.

    Parameters
    ----------
    colgen : ColumnGeneration
        The waxes, their columns and their best plan.
    goal : Goal
        The goal to improve.
    limits : sequence of GoalLimit
        Limits of the previous goals.
    step : Step
        How full flasks may be.

    Returns
    -------
    bool
        True if the best plan is better now.
    """
    wanted = colgen.value(goal) - (CENT / 2 if goal.per_cost else 0.5)
    cheap = replace(goal, per_cost=_tie(colgen)) if goal.per_flask else goal
    lp = None if colgen.is_spent() else colgen.solve_lp(cheap, limits, step)
    if lp is None or lp.objective > wanted:
        return False
    chosen = _dive_by_turns(colgen, cheap, limits, lp, wanted, step)
    if chosen is None and len(colgen.loose) <= WAXES_MANY:
        chosen = _choose(colgen, goal, limits, lp, wanted, step)
    return chosen is not None and colgen.adopt(goal, chosen)


def _tie(colgen: ColumnGeneration) -> float:
    """The weight of a unit of cost beside a flask: all cost together weighs less than half a flask."""
    return min(TIE, 0.2 / max(colgen.evaluator.cost_of(colgen.plan.flasks), 1.0))


def _dive_by_turns(
    colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit], lp: LpResult, wanted: float, step: Step
) -> tuple[int, ...] | None:
    """Dive with a few columns fixed at a time; for many waxes also with twice as many, then one by one."""
    waxes = len(colgen.loose)
    few = max(1, waxes // WAXES_MANY)
    others = [2 * few, 1] if WAXES_MANY < waxes <= WAXES_VERY_MANY else []
    tries = [few, *others] if waxes > WAXES_EASY else []
    found = (_dive(colgen, goal, limits, lp, wanted, step, most) for most in dict.fromkeys(tries))
    return next((chosen for chosen in found if chosen is not None), None)


def _dive(
    colgen: ColumnGeneration,
    goal: Goal,
    limits: Sequence[GoalLimit],
    lp: LpResult,
    wanted: float,
    step: Step,
    most: int,
) -> tuple[int, ...] | None:
    """Fix the columns that the LP uses most and that have layouts, and solve it again; None if it fails."""
    fixed, barred = set[int](), set[int]()
    while not colgen.is_spent():
        fresh = _most_used(colgen, lp, fixed, most)
        if not fresh:
            return tuple(sorted(fixed))
        laid_out = {number for number in fresh if colgen.no_goods.find_layout(number, step)}
        found = colgen.solve_lp_after(goal, limits, step, fixed | laid_out, barred)
        if found is not None and found.objective <= wanted:
            fixed, lp = fixed | laid_out, found
            continue
        barred |= laid_out
        back = colgen.solve_lp_after(goal, limits, step, fixed, barred)
        if not laid_out or len(barred) > BARRED or back is None or back.objective > wanted:
            return None
        lp = back
    return None


def _most_used(colgen: ColumnGeneration, lp: LpResult, fixed: set[int], most: int) -> list[int]:
    """The columns not fixed yet that the LP uses whole, or else a few that it uses most and that share no wax."""
    used = sorted((-amount, n) for n, amount in zip(lp.used, lp.amounts, strict=True) if n not in fixed)
    whole = [n for amount, n in used if amount < EASE - 1]
    if whole:
        return whole
    few: list[int] = []
    inside: set[str] = set()
    for _, number in used:
        keys = colgen.master.columns[number].keys
        if len(few) < most and inside.isdisjoint(keys):
            few.append(number)
            inside |= keys
    return few


def _choose(
    colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit], lp: LpResult, wanted: float, step: Step
) -> tuple[int, ...] | None:
    """Choose among likely columns by MIPs; for a number of flasks first as few as the LP's bound."""
    likely = colgen.likely_columns(goal, limits, lp.duals, step.full)
    if goal.per_cost:
        return _solve_mips(colgen, goal, [*limits, GoalLimit(goal, wanted)], likely, step)
    numbers = _best_of(colgen, {*likely, *colgen.master.in_lp}, lp.duals)
    fewest = math.ceil(lp.objective - EASE) + 0.5 if goal.per_flask else wanted
    targets = sorted({min(fewest, wanted), wanted})
    found = (_solve_mips(colgen, goal, [*limits, GoalLimit(goal, most)], numbers, step) for most in targets)
    return next((chosen for chosen in found if chosen is not None), None)


def _best_of(colgen: ColumnGeneration, numbers: Iterable[int], duals: Duals) -> list[int]:
    """The columns of best reduced profit among these, as many as a MIP may have."""
    every = np.array(sorted(numbers))
    best = np.argsort(-colgen.master.reduced_profits(duals, every.tolist()), kind="stable")
    return sorted(every[best[: 2 * colgen.budget.likely]].tolist())


def _solve_mips(
    colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit], numbers: Iterable[int], step: Step
) -> tuple[int, ...] | None:
    """Choose columns by a MIP, again without those that have no layout; None if it fails."""
    may_stay_out = colgen.may_stay_out(limits)
    for _ in range(colgen.budget.rounds):
        if colgen.is_spent():
            return None
        excluded = colgen.no_goods.excluded(step)
        allowed = [number for number in numbers if not excluded[number]]
        colgen.count_mip(allowed)
        tie_break = _tie_break(colgen, goal, allowed)
        chosen = colgen.master.solve_mip(goal, limits, may_stay_out, allowed, colgen.budget.nodes, tie_break).chosen
        if chosen is None or colgen.find_layouts(chosen, step):
            return chosen
    return None


def _tie_break(colgen: ColumnGeneration, goal: Goal, numbers: Sequence[int]) -> Floats | None:
    """What a MIP minimises: occupancy, or cost with a little of it; None, the goal itself, for waxes left out."""
    fullness: Floats = colgen.no_goods.occupancy[numbers] ** POWER
    if goal.per_cost:
        return colgen.master.costs(goal, numbers)[len(colgen.loose) :] + EVEN * colgen.value(goal) * fullness
    return fullness if goal.per_flask else None
