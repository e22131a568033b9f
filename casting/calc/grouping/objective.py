"""Objective: the goals of the day in lexicographic order, and the score of a plan by them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.labels import assign_labels, moved_waxes
from casting.calc.grouping.solution import Candidate, Flasks
from casting.calc.values.enums import Aim

Score = tuple[object, ...]


def sort_flasks(flasks: Flasks) -> Flasks:
    """Return flasks sorted by their first waxes, so that the same flasks always make the same plan.

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


def count_first_pieces(evaluator: FlaskEvaluator, plan: Candidate) -> int:
    """Return how many first pieces a plan leaves out.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's waxes.
    plan : Candidate
        A plan.

    Returns
    -------
    int
        Waxes left out that are their student's first.
    """
    return sum(evaluator.rules.items[key].wax.piece == 1 for key in plan.left)


def score(evaluator: FlaskEvaluator, plan: Candidate) -> Score:
    """Return the score of a plan by the day's aim; less is better.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules, stock and layouts.
    plan : Candidate
        Flasks and the waxes left out of them.

    Returns
    -------
    Score
        First pieces left out, waxes left out, flasks and cost (in the order of the aim), waxes
        moved, and labels by wax to break a tie.
    """
    flasks = sort_flasks(plan.flasks)
    cost, number = evaluator.total_cost(flasks), len(flasks)
    goal = (cost, number) if evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL else (number, cost)
    labels = assign_labels(flasks, evaluator.rules.day)
    by_wax = {key: label for flask, label in zip(flasks, labels, strict=True) for key in flask.keys}
    return (
        count_first_pieces(evaluator, plan),
        len(plan.left),
        *goal,
        len(moved_waxes(by_wax, evaluator.rules.day)),
        sorted(by_wax.items()),
    )


@dataclass(frozen=True, slots=True)
class LowerBounds:
    """A lower bound for each goal, over plans as good in the previous goals, without fixed flasks.

    `families` bounds the flasks of each family.
    """

    firsts: int
    left: int
    flasks: int
    cost: float
    families: Mapping[Family, int] = field(default_factory=dict)
