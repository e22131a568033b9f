"""The day's aim as goals in their order, each a linear function of the flasks and of the waxes left out."""

from __future__ import annotations

from collections.abc import Sequence

from casting.calc.grouping.colgen.master import Goal
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.enums import Aim
from casting.calc.values.tolerances import COUNT_EASE

CENT = 0.01
"""Cost counts to this."""


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


def most_of(goal: Goal, value: float) -> float:
    """Return how far a goal may go in a plan that is no worse.

    Parameters
    ----------
    goal : Goal
        A goal.
    value : float
        How the plan stands by it [flasks, waxes, or the price's currency].

    Returns
    -------
    float
        Cost counts to 0.01, so a plan as dear may be that much dearer; counts are whole, and barely eased.
    """
    return value + (CENT if goal.per_cost else COUNT_EASE)
