"""What the day aims at, goal by goal, and how a plan stands by it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from casting.calc.grouping.evaluator import FlaskEvaluator, Flasks
from casting.calc.grouping.flask_rules import Party
from casting.calc.grouping.labels import moved_from, stay_put
from casting.calc.values.enums import Aim

Score = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """A plan in the making: its flasks, and the waxes that no flask has though one could."""

    flasks: Flasks
    left: frozenset[str]


def in_order(flasks: Flasks) -> Flasks:
    """Return flasks by their first waxes, so that the same flasks are always the same plan.

    Parameters
    ----------
    flasks : tuple of Flask
        Flasks of a plan.

    Returns
    -------
    tuple of Flask
        The same, sorted.
    """
    return tuple(sorted(flasks, key=lambda flask: min(flask.keys)))


def firsts_of(evaluator: FlaskEvaluator, plan: Tried) -> int:
    """Return how many first pieces a plan leaves out.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's waxes.
    plan : Tried
        A plan.

    Returns
    -------
    int
        Waxes left out that are their student's first.
    """
    return sum(evaluator.pieces[key].wax.piece == 1 for key in plan.left)


def score(evaluator: FlaskEvaluator, plan: Tried) -> Score:
    """Return how a plan stands by the day's aim; less is better.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and layouts.
    plan : Tried
        Flasks and the waxes left out of them.

    Returns
    -------
    Score
        First pieces left out, waxes left out, flasks and cost (in the order of the aim), waxes
        moved, and labels by wax to break a tie.
    """
    flasks = in_order(plan.flasks)
    cost, number = evaluator.total_cost(flasks), len(flasks)
    goal = (cost, number) if evaluator.day.rules.aim is Aim.LEAST_MATERIAL else (number, cost)
    labels = stay_put(flasks, evaluator.day)
    by_wax = {key: label for flask, label in zip(flasks, labels, strict=True) for key in flask.keys}
    return (
        firsts_of(evaluator, plan),
        len(plan.left),
        *goal,
        len(moved_from(by_wax, evaluator.day)),
        sorted(by_wax.items()),
    )


@dataclass(frozen=True, slots=True)
class Least:
    """What no plan as good in the goals before can better, fixed flasks apart; `parties`: flasks of each."""

    firsts: int
    left: int
    flasks: int
    cost: float
    parties: Mapping[Party, int] = field(default_factory=dict)
