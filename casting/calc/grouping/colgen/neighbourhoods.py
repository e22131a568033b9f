"""Large neighbourhood search: take a few flasks out of the plan and solve for their waxes again, more cheaply."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations

from casting.calc.grouping.budget import FEW, GROUP_STEPS, WAXES_EASY
from casting.calc.grouping.colgen.diving import improve
from casting.calc.grouping.colgen.generation import ColumnGeneration
from casting.calc.grouping.colgen.goals import Goal, goals_of, limit_of
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.values.tolerances import CENT


def search_neighbourhoods(colgen: ColumnGeneration, goal: Goal) -> None:
    """Solve for the waxes of a few flasks again, group by group, and adopt what costs less.

    Parameters
    ----------
    colgen : ColumnGeneration
        The waxes and their best plan.
    goal : Goal
        Cost.
    """
    for _ in range(colgen.budget.groups):
        group = None if colgen.is_spent() else next((one for one in _groups(colgen) if _is_open(colgen, one)), None)
        if group is None:
            return
        others = tuple(flask for flask in colgen.plan.flasks if flask not in group)
        again = _solve_again(colgen, goal, group, others)
        if colgen.evaluator.cost_of(again) < colgen.evaluator.cost_of(group) - CENT / 2:
            colgen.plan = Candidate(others + again, colgen.plan.left)
        colgen.neighbourhoods[_keys(group)] = min(map(colgen.evaluator.cost_of, (group, again)))


def _is_open(colgen: ColumnGeneration, group: Flasks) -> bool:
    """True if these waxes were not solved for yet, or stand in sizes that cost more than what was found then."""
    known = colgen.neighbourhoods.get(_keys(group))
    return known is None or colgen.evaluator.cost_of(group) > known + CENT / 2


def _groups(colgen: ColumnGeneration) -> list[Flasks]:
    """The flasks of each family of few waxes, then pairs of flasks of one family, in a set order."""
    families: dict[Family, list[Flask]] = {}
    for flask in sorted(colgen.plan.flasks, key=lambda one: sorted(one.keys)):
        families.setdefault(colgen.evaluator.rules.items[min(flask.keys)].family, []).append(flask)
    whole = [tuple(flasks) for _, flasks in sorted(families.items()) if len(_keys(flasks)) <= WAXES_EASY]
    return whole + [pair for _, flasks in sorted(families.items()) for pair in combinations(flasks, 2)]


def _solve_again(colgen: ColumnGeneration, goal: Goal, group: Flasks, others: Flasks) -> Flasks:
    """The waxes of a few flasks in no more and cheaper ones, if such were found."""
    sizes = Counter(flask.size for flask in others)
    spare = {size: count - sizes[size] for size, count in colgen.master.spare.items()}
    budget = replace(colgen.budget, steps=GROUP_STEPS, likely=FEW)
    plan, fixed = Candidate(group, frozenset()), colgen.fixed + others
    part = ColumnGeneration(colgen.evaluator, colgen.bounds, plan, spare, budget, {}, fixed)
    before = [one for one in goals_of(colgen.evaluator, part.loose) if not one.per_cost]
    limits = [limit_of(one, part.value(one)) for one in before]
    for step in budget.steps:
        while improve(part, goal, limits, step):
            pass
    return part.plan.flasks


def _keys(flasks: Iterable[Flask]) -> frozenset[str]:
    """The waxes of some flasks."""
    return frozenset[str]().union(*(flask.keys for flask in flasks))
