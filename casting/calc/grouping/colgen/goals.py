"""The day's aim as goals in their order, each a linear function of the flasks and of the waxes left out.

Every value, bound, dual value and profit of column generation is in the unit of the goal at hand: waxes, flasks or the
currency of the prices.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.enums import Aim
from casting.calc.values.tolerances import CENT, COUNT_EASE


@dataclass(frozen=True, slots=True)
class Goal:
    """A figure to minimise: a weight for each flask, for a unit of cost, and for each wax left out."""

    name: str
    per_flask: float
    per_cost: float
    out: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class GoalLimit:
    """The most that a goal may come to."""

    goal: Goal
    upper_bound: float


def goals_of(evaluator: FlaskEvaluator, loose: Sequence[str]) -> list[Goal]:
    """Return what the day aims at, in its order.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's waxes and its aim.
    loose : sequence of str
        Waxes that are in no fixed flask.

    Returns
    -------
    list of Goal
        First pieces left out, waxes left out, then flasks and cost as the day orders them.
    """
    firsts = {key: 1.0 for key in loose if evaluator.rules.items[key].wax.piece == 1}
    flasks, cost = Goal("flasks", 1.0, 0.0, {}), Goal("cost", 0.0, 1.0, {})
    last = [cost, flasks] if evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL else [flasks, cost]
    return [Goal("firsts", 0.0, 0.0, firsts), Goal("left", 0.0, 0.0, dict.fromkeys(loose, 1.0)), *last]


def limit_of(goal: Goal, value: float) -> GoalLimit:
    """Return the limit of a goal for plans that are no worse than a value.

    Parameters
    ----------
    goal : Goal
        A goal.
    value : float
        What a plan comes to in it [waxes, flasks, or the price's currency].

    Returns
    -------
    GoalLimit
        The value and a tolerance: a cent of cost, and of a count next to nothing.
    """
    return GoalLimit(goal, value + (CENT if goal.per_cost else COUNT_EASE))
