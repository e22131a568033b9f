"""The day shared out family by family, then as a whole where families want the same flasks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.budget import Budget
from casting.calc.grouping.colgen.bounding import Cover
from casting.calc.grouping.colgen.goals import CENT, goals_of
from casting.calc.grouping.colgen.master import Goal
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.objective import LowerBounds, count_first_pieces, score
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.values.enums import Aim


@dataclass(frozen=True, slots=True)
class _Bound:
    """What covers proved of plans that are no worse than `given` in the goals before."""

    least: Mapping[str, float]
    given: Mapping[str, float]


class Covers:
    """The covers of a day by their waxes and what they may take from the shelf; each goes on where it stood."""

    def __init__(self, evaluator: FlaskEvaluator, bounds: CombinatorialBounds) -> None:
        self.evaluator, self.bounds = evaluator, bounds
        self._known: dict[tuple[object, ...], Cover] = {}

    def of(
        self,
        plan: Candidate,
        spare: Mapping[str, int],
        effort: Budget,
        at_least: Mapping[Family, int],
        fixed: Flasks = (),
    ) -> Cover:
        """The cover of a plan's waxes, new or from before."""
        loose = tuple(sorted(plan.left.union(*(flask.keys for flask in plan.flasks))))
        shelf = tuple((size, min(count, len(loose))) for size, count in sorted(spare.items()))
        place = loose, shelf, tuple(sorted(flask.size for flask in fixed))
        if place in self._known:
            self._known[place].again(plan, effort, at_least, fixed)
        else:
            self._known[place] = Cover(self.evaluator, self.bounds, plan, spare, effort, at_least, fixed)
        return self._known[place]


def shared_out(known: Covers, plan: Candidate, effort: Budget) -> tuple[Candidate, LowerBounds]:
    """Return the best plan found, and what no plan as good in the goals before can better.

    Parameters
    ----------
    known : Covers
        The day's rules, stock and layouts, and the covers so far.
    plan : Candidate
        A plan to start from: its fixed flasks stay, its held labels too.
    effort : Budget
        How far to go.

    Returns
    -------
    tuple of (Candidate, LowerBounds)
        A plan no worse than the one given. The figures leave fixed flasks out.

    Notes
    -----
    Families share the shelf and the kilns, and no flask: what each needs with the whole shelf to
    itself adds up to a bound for all. Only where the best of each cannot stand together are they
    shared out as one; if that shows before the last goal, it is sought for all only.
    """
    evaluator = known.evaluator
    fixed = tuple(flask for flask in plan.flasks if flask.fixed)
    spare = evaluator.spare(fixed)
    covers = [known.of(own, spare, effort, {}) for own in _by_family(evaluator, plan)]
    goals = goals_of(evaluator, sorted(key for cover in covers for key in cover.loose))
    slack: dict[str, float] = {}
    for nth, goal in enumerate(goals):
        last = nth == len(goals) - 1
        apart = last and not evaluator.is_feasible(_merged(fixed, covers).flasks)
        for cover in covers:
            cover.pursue(goal, goals[:nth], slack, only_bound=apart)
        slack[goal.name] = sum(cover.value(goal) - cover.least[goal.name] for cover in covers)
    bounds = [_bound(goals, covers)]
    merged = _merged(fixed, covers)
    found = [plan]
    if evaluator.is_feasible(merged.flasks):
        found.append(merged)
    else:
        own = Candidate(tuple(flask for flask in plan.flasks if not flask.fixed), plan.left)
        fewest = {} if evaluator.rules.day.rules.aim is Aim.LEAST_MATERIAL else _fewest(evaluator, covers)
        whole = known.of(own, spare, effort, fewest, fixed)
        _told(whole, covers)
        for nth, goal in enumerate(goals):
            whole.pursue(goal, goals[:nth], {})
        bounds.append(_bound(goals, [whole]))
        found.append(Candidate(fixed + whole.plan.flasks, whole.plan.left))
    best = min(found, key=lambda one: score(evaluator, one))
    return best, replace(_least(goals, bounds, _values(evaluator, goals, best)), families=_fewest(evaluator, covers))


def _merged(fixed: Flasks, covers: Sequence[Cover]) -> Candidate:
    """The best plan of each family beside the others, whether or not they stand together."""
    left = frozenset[str]().union(*(cover.plan.left for cover in covers))
    return Candidate(fixed + tuple(flask for cover in covers for flask in cover.plan.flasks), left)


def _told(cover: Cover, others: Sequence[Cover]) -> None:
    """Enter what other covers found of the same waxes and have laid out."""
    mine = set(cover.loose)
    for column in (column for other in others for column in other.ledger.columns):
        if column.keys <= mine and cover.evaluator.has_layout(column.keys, column.size):
            cover.ledger.add(column.keys, column.size)


def settled(evaluator: FlaskEvaluator, plan: Candidate, least: LowerBounds) -> bool:
    """Return whether no plan is better in any goal but the waxes moved.

    Parameters
    ----------
    evaluator : FlaskEvaluator
        The day's rules.
    plan : Candidate
        A plan.
    least : LowerBounds
        What was proved of plans no worse.

    Returns
    -------
    bool
        True if the plan meets every bound.
    """
    mine = tuple(flask for flask in plan.flasks if not flask.fixed)
    met = (
        count_first_pieces(evaluator, plan) <= least.firsts
        and len(plan.left) <= least.left
        and len(mine) <= least.flasks
    )
    return met and evaluator.cost_of(mine) <= least.cost + CENT / 2


def _by_family(evaluator: FlaskEvaluator, plan: Candidate) -> list[Candidate]:
    """The plan without its fixed flasks, a family at a time."""
    flasks: dict[Family, list[Flask]] = {}
    left: dict[Family, set[str]] = {}
    for flask in plan.flasks:
        if not flask.fixed:
            flasks.setdefault(evaluator.rules.items[min(flask.keys)].family, []).append(flask)
    for key in plan.left:
        left.setdefault(evaluator.rules.items[key].family, set()).add(key)
    families = sorted({*flasks, *left})
    return [Candidate(tuple(flasks.get(family, ())), frozenset(left.get(family, ()))) for family in families]


def _fewest(evaluator: FlaskEvaluator, covers: Sequence[Cover]) -> dict[Family, int]:
    """The fewest flasks of each family, with the whole shelf to itself."""
    return {
        evaluator.rules.items[cover.loose[0]].family: round(cover.least["flasks"]) for cover in covers if cover.loose
    }


def _bound(goals: Sequence[Goal], covers: Sequence[Cover]) -> _Bound:
    return _Bound(
        {goal.name: sum(cover.least[goal.name] for cover in covers) for goal in goals},
        {goal.name: sum(cover.value(goal) for cover in covers) for goal in goals},
    )


def _values(evaluator: FlaskEvaluator, goals: Sequence[Goal], plan: Candidate) -> dict[str, float]:
    mine = tuple(flask for flask in plan.flasks if not flask.fixed)
    figures = {"flasks": float(len(mine)), "cost": evaluator.cost_of(mine)}
    return {goal.name: figures.get(goal.name, sum(goal.out.get(key, 0.0) for key in plan.left)) for goal in goals}


def _least(goals: Sequence[Goal], bounds: Sequence[_Bound], values: Mapping[str, float]) -> LowerBounds:
    """The best of the bounds, as far as the plan is no worse than they were given."""
    least = dict.fromkeys(values, 0.0)
    for bound in bounds:
        for goal in goals:
            least[goal.name] = max(least[goal.name], bound.least[goal.name])
            if values[goal.name] > bound.given[goal.name] + 1e-6:
                break
    return LowerBounds(round(least["firsts"]), round(least["left"]), round(least["flasks"]), least["cost"])
