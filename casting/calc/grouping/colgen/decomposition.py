"""Decomposition: column generation for each family of waxes, then for all where families want the same flasks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.bounding import pursue
from casting.calc.grouping.colgen.generation import ColumnGeneration
from casting.calc.grouping.colgen.goals import Goal, goals_of
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.objective import LowerBounds, count_first_pieces, score
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.values.enums import Aim
from casting.calc.values.tolerances import CENT


@dataclass(frozen=True, slots=True)
class _Bound:
    """By goal, a bound on plans that are no worse than `values` in the previous goals."""

    lower_bounds: Mapping[str, float]
    values: Mapping[str, float]


class SubproblemCache:
    """The column generations of a day by their waxes and the stock left for them; each resumes where it stopped."""

    def __init__(self, evaluator: FlaskEvaluator, bounds: CombinatorialBounds) -> None:
        self.evaluator, self.bounds = evaluator, bounds
        self._known: dict[tuple[object, ...], ColumnGeneration] = {}

    def get(
        self,
        plan: Candidate,
        spare: Mapping[str, int],
        budget: Budget,
        fewest: Mapping[Family, int],
        fixed: Flasks = (),
    ) -> ColumnGeneration:
        """The column generation of a plan's waxes, a new one or the previous one with this budget."""
        loose = tuple(sorted(plan.left.union(*(flask.keys for flask in plan.flasks))))
        stock = tuple((size, min(count, len(loose))) for size, count in sorted(spare.items()))
        place = loose, stock, tuple(sorted(flask.size for flask in fixed))
        if place in self._known:
            self._known[place].resume(plan, budget, fewest, fixed)
        else:
            self._known[place] = ColumnGeneration(self.evaluator, self.bounds, plan, spare, budget, fewest, fixed)
        return self._known[place]


def solve(cache: SubproblemCache, plan: Candidate, budget: Budget) -> tuple[Candidate, LowerBounds]:
    """Return the best plan found, and lower bounds on plans as good in the previous goals.

    Parameters
    ----------
    cache : SubproblemCache
        The day's column generations so far.
    plan : Candidate
        A plan to start from; its fixed flasks stay, and its held labels.
    budget : Budget
        How far to go.

    Returns
    -------
    tuple of (Candidate, LowerBounds)
        A plan no worse than the one given. The bounds leave fixed flasks out.

    Notes
    -----
    Families share the stock and the kilns but no flask: the bounds of each with the whole stock to
    itself add up to a bound for all. Only where the best plans of the families are not feasible together
    is there one column generation for all; if this is discovered before the last goal, only the joint run optimises it.
    """
    evaluator = cache.evaluator
    fixed = tuple(flask for flask in plan.flasks if flask.fixed)
    spare = evaluator.spare(fixed)
    parts = [cache.get(own, spare, budget, {}) for own in _by_family(evaluator, plan)]
    goals = goals_of(evaluator, sorted(key for part in parts for key in part.loose))
    _pursue_each(evaluator, fixed, parts, goals)
    bounds = [_bound(goals, parts)]
    merged = _merged(fixed, parts)
    found = [plan]
    if evaluator.is_feasible(merged.flasks):
        found.append(merged)
    else:
        own = Candidate(tuple(flask for flask in plan.flasks if not flask.fixed), plan.left)
        fewest = {} if evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL else _fewest(evaluator, parts)
        whole = cache.get(own, spare, budget, fewest, fixed)
        _add_columns(whole, parts)
        for nth, goal in enumerate(goals):
            pursue(whole, goal, goals[:nth], {})
        bounds.append(_bound(goals, [whole]))
        found.append(Candidate(fixed + whole.plan.flasks, whole.plan.left))
    best = min(found, key=lambda one: score(evaluator, one))
    lower_bounds = _lower_bounds(goals, bounds, _values(evaluator, goals, best))
    return best, replace(lower_bounds, families=_fewest(evaluator, parts))


def _pursue_each(
    evaluator: FlaskEvaluator, fixed: Flasks, parts: Sequence[ColumnGeneration], goals: Sequence[Goal]
) -> None:
    """Pursue the goals in each family; the last only as a bound where the families' plans are not feasible together."""
    slack: dict[str, float] = {}
    for nth, goal in enumerate(goals):
        last = nth == len(goals) - 1
        only_bound = last and not evaluator.is_feasible(_merged(fixed, parts).flasks)
        for part in parts:
            pursue(part, goal, goals[:nth], slack, only_bound=only_bound)
        slack[goal.name] = sum(part.value(goal) - part.lower_bounds[goal.name] for part in parts)


def _merged(fixed: Flasks, parts: Sequence[ColumnGeneration]) -> Candidate:
    """The best plans of the families put together, feasible or not."""
    left = frozenset[str]().union(*(part.plan.left for part in parts))
    return Candidate(fixed + tuple(flask for part in parts for flask in part.plan.flasks), left)


def _add_columns(whole: ColumnGeneration, parts: Sequence[ColumnGeneration]) -> None:
    """Add the columns of the families that have layouts."""
    waxes = set(whole.loose)
    for column in (column for part in parts for column in part.master.columns):
        if column.keys <= waxes and whole.evaluator.has_layout(column.keys, column.size):
            whole.master.add(column.keys, column.size)


def is_optimal(evaluator: FlaskEvaluator, plan: Candidate, bounds: LowerBounds) -> bool:
    """Return whether no plan is better in any goal other than the waxes moved.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules.
    plan : Candidate
        A plan.
    bounds : LowerBounds
        Lower bounds on plans no worse.

    Returns
    -------
    bool
        True if the plan meets every bound.
    """
    loose = tuple(flask for flask in plan.flasks if not flask.fixed)
    counts_met = (
        count_first_pieces(evaluator, plan) <= bounds.firsts
        and len(plan.left) <= bounds.left
        and len(loose) <= bounds.flasks
    )
    return counts_met and evaluator.cost_of(loose) <= bounds.cost + CENT / 2


def _by_family(evaluator: FlaskEvaluator, plan: Candidate) -> list[Candidate]:
    """The plan without its fixed flasks, split by family."""
    flasks: dict[Family, list[Flask]] = {}
    left: dict[Family, set[str]] = {}
    for flask in plan.flasks:
        if not flask.fixed:
            flasks.setdefault(evaluator.rules.items[min(flask.keys)].family, []).append(flask)
    for key in plan.left:
        left.setdefault(evaluator.rules.items[key].family, set()).add(key)
    families = sorted({*flasks, *left})
    return [Candidate(tuple(flasks.get(family, ())), frozenset(left.get(family, ()))) for family in families]


def _fewest(evaluator: FlaskEvaluator, parts: Sequence[ColumnGeneration]) -> dict[Family, int]:
    """The fewest flasks of each family, with the whole stock to itself."""
    return {
        evaluator.rules.items[part.loose[0]].family: round(part.lower_bounds["flasks"]) for part in parts if part.loose
    }


def _bound(goals: Sequence[Goal], parts: Sequence[ColumnGeneration]) -> _Bound:
    return _Bound(
        {goal.name: sum(part.lower_bounds[goal.name] for part in parts) for goal in goals},
        {goal.name: sum(part.value(goal) for part in parts) for goal in goals},
    )


def _values(evaluator: FlaskEvaluator, goals: Sequence[Goal], plan: Candidate) -> dict[str, float]:
    """The value of a plan in each goal, excluding fixed flasks."""
    loose = tuple(flask for flask in plan.flasks if not flask.fixed)
    figures = {"flasks": float(len(loose)), "cost": evaluator.cost_of(loose)}
    return {goal.name: figures.get(goal.name, sum(goal.out.get(key, 0.0) for key in plan.left)) for goal in goals}


def _lower_bounds(goals: Sequence[Goal], bounds: Sequence[_Bound], values: Mapping[str, float]) -> LowerBounds:
    """The best of the bounds, each valid while the plan is no worse than the values that it was proved for."""
    best = dict.fromkeys(values, 0.0)
    for bound in bounds:
        for goal in goals:
            best[goal.name] = max(best[goal.name], bound.lower_bounds[goal.name])
            if values[goal.name] > bound.values[goal.name] + 1e-6:
                break
    return LowerBounds(round(best["firsts"]), round(best["left"]), round(best["flasks"]), best["cost"])
