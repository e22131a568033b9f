"""The search for a day's flasks: a first plan by heuristics, then better ones by column generation."""

from __future__ import annotations

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import prove, usable_sizes
from casting.calc.grouping.budget import DOWNSIZE, RUNGS, SEEK_HARD, Budget
from casting.calc.grouping.colgen.decomposition import SubproblemCache, is_optimal, solve
from casting.calc.grouping.colgen.stability import minimise_moves
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics.construction import construct
from casting.calc.grouping.heuristics.ejection import reinsert
from casting.calc.grouping.heuristics.insertion import downsize
from casting.calc.grouping.labels import assign_labels, moved_waxes
from casting.calc.grouping.left_out import exclusion_reason, shortage_reason
from casting.calc.grouping.objective import LowerBounds, score, sort_flasks
from casting.calc.grouping.preassigned import is_settled, preassigned_flasks
from casting.calc.grouping.solution import Candidate, Flask, Flasks
from casting.calc.layout.tidy import MountedFlask, WaxIdentity, tidy
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Group, Grouping, Place


def group(day: DayInput, effort: int, without: frozenset[str] = frozenset()) -> Grouping:
    """Return the day's waxes in flasks, with places, kiln places, reasons and proof.

    Parameters
    ----------
    day : DayInput
        The day.
    effort : int
        Units of work, at least 1; more never gives a worse plan.
    without : frozenset of str
        Flask sizes that count as not on the shelf.

    Returns
    -------
    Grouping
        The best plan found. Labels of flasks neither held nor of `previous` are provisional:
        see `relabel`.

    Raises
    ------
    Refused
        If a held wax or a fixed flask cannot be as the day asks.
    """
    return GroupingSearch(day, without).run(effort)


class GroupingSearch:
    """The search for the day's flasks: a first plan, then column generation from each rung of effort to the next.

    Raises `Refused` if a held wax or a fixed flask cannot be as the day asks.
    """

    def __init__(self, day: DayInput, without: frozenset[str] = frozenset()) -> None:
        self.evaluator = FlaskEvaluator(day, without)
        rules, flasks = self.evaluator.rules, preassigned_flasks(self.evaluator)
        self.is_settled = is_settled(rules)
        inside = {key for flask in flasks for key in flask.keys}
        outside = [key for key in rules.items if key not in inside]
        self._excluded = {key: why for key in outside if (why := exclusion_reason(rules, key))}
        fixed = tuple(flask for flask in flasks if flask.fixed)
        self._combinatorial = CombinatorialBounds(rules, usable_sizes(rules, fixed))
        self._cache = SubproblemCache(self.evaluator, self._combinatorial)
        self._bounds: LowerBounds | None = None
        self._bounds_count = not without
        self._rung = 0
        self._mounted: dict[tuple[Flask, bool], dict[str, Place]] = {}
        loose = [key for key in outside if key not in self._excluded]
        self._plan = _tightened(self.evaluator, construct(self.evaluator, flasks, loose))

    @property
    def is_finished(self) -> bool:
        """Whether more effort finds nothing better, as every goal is proved or nothing is left to search for."""
        optimal = self._bounds is not None and is_optimal(self.evaluator, self._plan, self._bounds)
        return self.is_settled or optimal

    def run(self, effort: int) -> Grouping:
        """Return the best plan of an effort, resuming from the last one.

        Parameters
        ----------
        effort : int
            Units of work, at least 1. Less than before gives the plan found before.

        Returns
        -------
        Grouping
            Never worse than the previous one.
        """
        rungs = [rung for rung in RUNGS if rung <= effort]
        for rung in rungs[1:] or rungs:
            if rung > self._rung and not self.is_finished:
                self._climb(rung)
        return self._written(longer=effort >= RUNGS[0])

    def _climb(self, rung: int) -> None:
        """Improve the plan with the budget of a rung, then move as few waxes as possible."""
        evaluator, self._rung = self.evaluator, rung
        plan, self._bounds = solve(self._cache, self._plan, self._budget(rung))
        if evaluator.rules.day.previous:
            plan = minimise_moves(evaluator, self._combinatorial, plan, self._budget(rung // 4))
        self._plan = _tightened(evaluator, plan)

    def _budget(self, effort: int) -> Budget:
        """Budget for an effort, given the work done so far."""
        evaluator = self.evaluator
        return Budget.of(effort, len(evaluator.rules.items), evaluator.spent, evaluator.weighed)

    def _written(self, *, longer: bool) -> Grouping:
        """The best plan with labels, places, reasons and proof."""
        evaluator, day, flasks = self.evaluator, self.evaluator.rules.day, sort_flasks(self._plan.flasks)
        out = self._excluded | {key: shortage_reason(evaluator, key, self._plan.flasks) for key in self._plan.left}
        if sorted([*(key for flask in flasks for key in flask.keys), *out]) != sorted(evaluator.rules.items):
            raise AssertionError("a wax is in no flask and not left out, or is so twice")
        left_out = tuple(out[key] for key in sorted(out))
        labels, kiln_places = assign_labels(flasks, day), evaluator.kiln_places(flasks)
        if kiln_places is None:
            raise AssertionError("the flasks were accepted without places in the kilns")
        by_wax = {key: label for flask, label in zip(flasks, labels, strict=True) for key in flask.keys}
        places = self._mount(flasks, longer=longer)
        return Grouping(
            groups=tuple(Group(label, flask.size, places[flask]) for flask, label in zip(flasks, labels, strict=True)),
            left_out=left_out,
            kiln_places=dict(zip(labels, kiln_places, strict=True)),
            proof=prove(evaluator, flasks, left_out, self._bounds if self._bounds_count else None),
            moved=moved_waxes(by_wax, day),
        )

    def _mount(self, flasks: Flasks, *, longer: bool) -> dict[Flask, dict[str, Place]]:
        """The flasks' layouts as used for mounting, each computed once."""
        fresh = tuple(flask for flask in flasks if (flask, longer) not in self._mounted)
        for flask, places in _evened(self.evaluator, fresh, longer=longer).items():
            self._mounted[flask, longer] = places
        return {flask: self._mounted[flask, longer] for flask in flasks}


def _tightened(evaluator: FlaskEvaluator, plan: Candidate) -> Candidate:
    """The plan with each flask in the cheapest size left, and with waxes inserted where that makes room."""
    flasks, left = downsize(evaluator, plan.flasks, DOWNSIZE), sorted(plan.left)
    if left and flasks is not plan.flasks:
        flasks, left = reinsert(evaluator, flasks, left)
        flasks = downsize(evaluator, flasks, DOWNSIZE)
    return min([Candidate(flasks, frozenset(left)), plan], key=lambda one: score(evaluator, one))


def _evened(evaluator: FlaskEvaluator, flasks: Flasks, *, longer: bool) -> dict[Flask, dict[str, Place]]:
    """The layouts of flasks, evened out for mounting. A tree's rings are even as found, and spots by hand stay."""
    found = {flask: _layout(evaluator, flask) for flask in flasks}
    rules = evaluator.rules
    cones = [flask for flask in flasks if not (rules.bases[flask.size].trunk or evaluator.has_spots(flask.keys))]
    stood = []
    for flask in cones:
        items = [rules.items[key] for key in sorted(flask.keys)]
        worn = tuple(WaxIdentity(item.footprint, item.wax.student, item.metal_g) for item in items)
        places = tuple(found[flask][item.key] for item in items)
        stood.append(MountedFlask(worn, places, rules.bases[flask.size]))
    for flask, places in zip(cones, tidy(stood, longer=longer), strict=True):
        found[flask] = dict(zip(sorted(flask.keys), places, strict=True))
    return found


def _layout(evaluator: FlaskEvaluator, flask: Flask) -> dict[str, Place]:
    places = evaluator.layout(flask.keys, flask.size, SEEK_HARD)
    if places is None:
        raise AssertionError(f"a flask of {sorted(flask.keys)} was accepted without a layout")
    return dict(places)
