"""Lower bounds by column generation, and the MIP over all columns that a better plan could have.

When no column has a reduced profit, the LP's optimum is a bound on every plan. A column whose reduced profit
falls short by more than the gap between plan and bound is in no better plan; a MIP over the others closes the gap.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from casting.calc.grouping.budget import FEW, LP_ROUNDS, STEPS, WAXES_EASY
from casting.calc.grouping.colgen.diving import improve, steps_of
from casting.calc.grouping.colgen.generation import ColumnGeneration
from casting.calc.grouping.colgen.goals import Goal, GoalLimit, limit_of
from casting.calc.grouping.colgen.master import Duals
from casting.calc.grouping.colgen.neighbourhoods import search_neighbourhoods
from casting.calc.grouping.flask_rules import Family, Item
from casting.calc.values.tolerances import BOUND_EASE, EASE

NONE = np.zeros(0, dtype=bool)
"""No column excluded."""


def pursue(
    colgen: ColumnGeneration,
    goal: Goal,
    before: Sequence[Goal],
    slack: Mapping[str, float],
    *,
    only_bound: bool = False,
) -> None:
    """Improve a plan in a goal, and raise the bound on plans that are no worse in the previous goals.

    Parameters
    ----------
    colgen : ColumnGeneration
        The waxes, their columns, their best plan and its bounds.
    goal : Goal
        The goal.
    before : sequence of Goal
        Those before it, already pursued.
    slack : mapping of str to float
        How far over its bound each of those may be here, in a plan of the whole day that is no worse than
        the whole day's.
    only_bound : bool
        Whether the plan stays as it is.
    """
    limits = [limit_of(one, colgen.value(one)) for one in before]
    looser = [limit_of(one, colgen.lower_bounds[one.name] + slack.get(one.name, 0.0)) for one in before]
    looser = [max(pair, key=lambda limit: limit.upper_bound) for pair in zip(limits, looser, strict=True)]
    _start(colgen, goal, looser)
    duals, best_profit = (None, 0.0) if colgen.is_met(goal) else _raise_bound(colgen, goal, looser)
    if duals is None or only_bound or colgen.is_met(goal):
        return
    is_alone = looser == limits
    few = 3 * colgen.budget.likely
    listed = is_alone and not goal.out and _solve_listed(colgen, goal, limits, duals, best_profit, few)
    if goal.per_cost and len(colgen.loose) > WAXES_EASY:
        search_neighbourhoods(colgen, goal)
    else:
        for step in STEPS if listed else steps_of(colgen):
            while not colgen.is_met(goal) and improve(colgen, goal, limits, step):
                listed = listed or (is_alone and _solve_listed(colgen, goal, limits, duals, best_profit, few))
    if is_alone and not listed and not colgen.is_met(goal):
        _solve_listed(colgen, goal, limits, duals, best_profit, colgen.budget.listed)


def _start(colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit]) -> None:
    """Reuse an earlier bound if it was proved under limits at least as loose."""
    under = tuple(limit.upper_bound for limit in limits)
    then = colgen.proved_under.get(goal.name)
    if then is None or any(now > before + EASE for now, before in zip(under, then, strict=True)):
        colgen.lower_bounds[goal.name] = 0.0
    colgen.proved_under[goal.name] = under
    if goal.per_flask and colgen.value(goal) > EASE:
        colgen.lower_bounds[goal.name] = max(colgen.lower_bounds[goal.name], _combinatorial_bound(colgen, limits))


def _combinatorial_bound(colgen: ColumnGeneration, limits: Sequence[GoalLimit]) -> float:
    """The fewest flasks by counting and weighing, less one for each wax that may be left out."""
    families: dict[Family, list[Item]] = {}
    for item in (colgen.evaluator.rules.items[key] for key in colgen.loose):
        if colgen.bounds.sizes(item):
            families.setdefault(item.family, []).append(item)
    out = min((int(limit.upper_bound) for limit in limits if limit.goal.name == "left"), default=len(colgen.loose))
    return max(0.0, float(sum(colgen.bounds.fewest_flasks(items).flasks for items in families.values()) - out))


def _raise_bound(colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit]) -> tuple[Duals | None, float]:
    """Raise the bound of a goal; return the dual values that prove it, and the best reduced profit by them."""
    may_stay_out, most = colgen.may_stay_out(limits), colgen.max_flasks(goal, limits)
    best: tuple[float, Duals | None, float] = (-math.inf, None, 0.0)
    for _ in range(LP_ROUNDS):
        lp = colgen.master.solve_lp(goal, limits, may_stay_out, NONE)
        if lp is None:
            break
        if colgen.pricer.add_columns(lp.duals, FEW)[0]:
            continue
        added, best_profit = colgen.pricer.add_columns(lp.duals, colgen.budget.sets)
        bound = lp.duals.lower_bound - most * best_profit
        if bound > best[0]:
            best = bound, lp.duals, best_profit
            _raise_to(colgen, goal, bound)
        if not added or colgen.is_met(goal) or (not goal.per_cost and math.ceil(best[0]) >= lp.objective - EASE):
            break
    return best[1], best[2]


def _solve_listed(
    colgen: ColumnGeneration,
    goal: Goal,
    limits: Sequence[GoalLimit],
    duals: Duals,
    best_profit: float,
    most: int,
) -> bool:
    """Choose by a MIP among all columns that a better plan could have; False if there are too many."""
    numbers = None if colgen.is_spent() else colgen.all_columns(goal, limits, duals, best_profit, most)
    if numbers is None:
        return False
    colgen.count_mip(numbers)
    value, may_stay_out = colgen.value(goal), colgen.may_stay_out(limits)
    cap = limit_of(goal, value if goal.per_cost else value - 1)
    found = colgen.master.solve_mip(goal, [*limits, cap], may_stay_out, numbers, colgen.budget.nodes)
    _raise_to(colgen, goal, value if found.is_complete and found.chosen is None else min(value, found.lower_bound))
    if (
        not colgen.is_met(goal)
        and found.chosen is not None
        and colgen.find_layouts(found.chosen, colgen.budget.steps[-1])
    ):
        colgen.adopt(goal, found.chosen)
    return True


def _raise_to(colgen: ColumnGeneration, goal: Goal, bound: float) -> None:
    """Raise the bound of a goal, to a whole number unless it is a cost."""
    whole = bound if goal.per_cost or math.isinf(bound) else float(math.ceil(bound - BOUND_EASE))
    colgen.lower_bounds[goal.name] = max(colgen.lower_bounds[goal.name], whole)


def equally_good_columns(colgen: ColumnGeneration, goal: Goal, limits: Sequence[GoalLimit]) -> list[int]:
    """Return the columns of best reduced profit that a plan as good as the best one could have.

    Parameters
    ----------
    colgen : ColumnGeneration
        The waxes, their columns and their best plan.
    goal : Goal
        A goal.
    limits : sequence of GoalLimit
        Limits of the other goals.

    Returns
    -------
    list of int
        Columns of the master, by number.
    """
    colgen.lower_bounds.setdefault(goal.name, 0.0)
    duals, _ = _raise_bound(colgen, goal, limits)
    return [] if duals is None else colgen.likely_columns(goal, limits, duals)
