"""Possible flasks and waxes as a programme: in parts for bounds, in whole numbers for plans."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from casting.calc.grouping import highs as solver
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.highs import Columns
from casting.calc.values.arrays import Counts, Flags, Floats

USED = 1e-6
"""A column is used in parts if it is used more than this."""


@dataclass(frozen=True, slots=True)
class Column:
    """Waxes in a flask of a size, as far as any rule or proof knows; its layout is still to be found."""

    keys: frozenset[str]
    size: str
    cost: float
    family: Family


@dataclass(frozen=True, slots=True)
class Goal:
    """What is to be least: so much for a flask, for a unit of cost, for each wax left out."""

    name: str
    per_flask: float
    per_cost: float
    out: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class GoalLimit:
    """A goal that may not go beyond what a plan has."""

    goal: Goal
    most: float


@dataclass(frozen=True, slots=True)
class Duals:
    """What a flask earns: each wax in it and its family, less its size and what the goals ask of it.

    `least` is the programme's bound if no flask earns anything.
    """

    wax: Mapping[str, float]
    family: Mapping[Family, float]
    size: Mapping[str, float]
    per_flask: float
    per_cost: float
    least: float

    def asked(self, size: str, family: Family) -> float:
        """What a flask of a size and family has to earn, its cost apart."""
        return self.per_flask + self.size[size] - self.family.get(family, 0.0)


@dataclass(frozen=True, slots=True)
class LpResult:
    """The least in parts, what it says each wax is worth, the columns it uses and how much of each."""

    least: float
    worth: Duals
    used: tuple[int, ...]
    amounts: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MipResult:
    """The columns chosen, if any; the proved least; whether the search came to its end."""

    chosen: tuple[int, ...] | None
    least: float
    ended: bool


class RestrictedMaster:
    """The columns known so far of some waxes, the shelf's stock, and the fewest flasks of each family.

    Each wax stands in at least one column or stays out. A wax in two is taken out of one of them,
    which no rule forbids, so the figures of the programme bound those of every plan.
    """

    def __init__(
        self, evaluator: FlaskEvaluator, spare: Mapping[str, int], loose: Sequence[str], at_least: Mapping[Family, int]
    ) -> None:
        self.evaluator, self.spare, self.waxes = evaluator, spare, sorted(loose)
        self.sizes, self.at_least = sorted(spare), dict(sorted(at_least.items()))
        self.columns: list[Column] = []
        self.known: dict[tuple[frozenset[str], str], int] = {}
        self.weighed: set[int] = set()
        self.families = sorted({evaluator.rules.items[key].family for key in loose})
        self._wax_rows = {key: row for row, key in enumerate(self.waxes)}
        self._size_rows = {size: len(self.waxes) + nth for nth, size in enumerate(self.sizes)}
        after = len(self.waxes) + len(self.sizes)
        self._family_rows = {family: after + nth for nth, family in enumerate(self.families)}
        self._many_rows = after + len(self.families)
        self._rows: list[Counts] = []
        self._costs: list[float] = []
        self._parts = solver.Parts(self._many_rows)
        self._parts.add([(np.array([row]), np.array([-1.0])) for row in range(len(self.waxes))])
        self._numbers: list[int] = []
        self._entered: set[int] = set()
        self._kept: list[Goal] = []

    def add(self, keys: frozenset[str], size: str, *, weighed: bool = True) -> int:
        """Enter a column, once, to be weighed in parts or only chosen among; return its number."""
        if (keys, size) not in self.known:
            self.known[keys, size] = len(self.columns)
            family, cost = self.evaluator.rules.items[min(keys)].family, self.evaluator.rules.cost(keys, size)
            self.columns.append(Column(keys, size, cost, family))
            waxes = sorted(self._wax_rows[key] for key in keys)
            self._rows.append(np.array([*waxes, self._size_rows[size], self._family_rows[family]]))
            self._costs.append(cost)
        number = self.known[keys, size]
        if weighed:
            self.weighed.add(number)
        return number

    def weighs(self, keys: frozenset[str], size: str) -> bool:
        """True if a column is weighed in parts."""
        return self.known.get((keys, size)) in self.weighed

    def _columns(self, numbers: Sequence[int], goals: Sequence[Goal]) -> Columns:
        """Columns in rows of waxes, sizes, families and goals."""
        asks = np.array([self.prices(goal, numbers)[len(self.waxes) :] for goal in goals])
        after = np.arange(self._many_rows, self._many_rows + len(goals))
        columns = []
        for nth, number in enumerate(numbers):
            rows = self._rows[number]
            figures = np.where((rows >= len(self.waxes)) & (rows < len(self.waxes) + len(self.sizes)), 1.0, -1.0)
            columns.append((np.append(rows, after), np.append(figures, asks[:, nth])) if goals else (rows, figures))
        return columns

    def _left_out(self, goals: Sequence[Goal]) -> Columns:
        """A column for each wax left out, in its row and those of goals."""
        after = np.arange(self._many_rows, self._many_rows + len(goals))
        return [
            (np.append(row, after), np.array([-1.0, *(goal.out.get(key, 0.0) for goal in goals)]))
            for row, key in enumerate(self.waxes)
        ]

    def _limits(self, kept: Sequence[GoalLimit], out: Collection[str]) -> Floats:
        """What each row may come to; where waxes may stay out, a family may need fewer flasks."""
        stock = [float(self.spare[size]) for size in self.sizes]
        fewest = [0.0 if out else -float(self.at_least.get(family, 0)) for family in self.families]
        return np.array([-1.0] * len(self.waxes) + stock + fewest + [limit.most for limit in kept])

    def prices(self, goal: Goal, numbers: Sequence[int]) -> Floats:
        """What a goal asks of each wax left out, then of each of these columns."""
        costs = np.array([self._costs[number] for number in numbers])
        return np.append([goal.out.get(key, 0.0) for key in self.waxes], goal.per_flask + goal.per_cost * costs)

    def earnings(self, worth: Duals, numbers: Sequence[int]) -> Floats:
        """What each of these columns earns by what waxes are worth, less what is asked of it."""
        by_row = np.array(
            [worth.wax[key] for key in self.waxes]
            + [-worth.size[size] for size in self.sizes]
            + [worth.family.get(family, 0.0) for family in self.families]
        )
        sums = np.array([by_row[self._rows[number]].sum() for number in numbers])
        return np.asarray(sums - self.prices(Goal("", worth.per_flask, worth.per_cost, {}), numbers)[len(self.waxes) :])

    def in_parts(
        self, goal: Goal, kept: Sequence[GoalLimit], out: Collection[str], struck: Flags, fixed: Collection[int] = ()
    ) -> LpResult | None:
        """Solve the programme in parts.

        Parameters
        ----------
        goal : Goal
            What is to be least.
        kept : sequence of GoalLimit
            Goals that came before.
        out : collection of str
            Waxes that may stay out.
        struck : array of bool
            Columns, by number, that do not count; those beyond its end do.
        fixed : collection of int
            Columns, weighed before, that are chosen already; these count in any case.

        Returns
        -------
        LpResult or None
            None if nothing keeps to the rows.
        """
        self._enter(kept)
        numbers = np.array(self._numbers, dtype=int)
        usable = ~np.append(struck, np.zeros(max(0, len(self.columns) - len(struck)), dtype=bool))[numbers]
        chosen = np.isin(numbers, list(fixed))
        least = np.append(np.zeros(len(self.waxes)), np.where(chosen, 1.0, 0.0))
        most = np.append([float(key in out) for key in self.waxes], np.where(usable | chosen, np.inf, 0.0))
        tops = {limit.goal.name: limit.most for limit in kept}
        rows = np.append(self._limits([], out), [tops.get(one.name, np.inf) for one in self._kept])
        found = self._parts.solve(self.prices(goal, self._numbers), least, most, rows)
        if found is None:
            return None
        names = [one.name for one in self._kept]
        tops_at = [self._many_rows + names.index(limit.goal.name) for limit in kept]
        worth = self._worth(goal, kept, out, np.append(found.worth[: self._many_rows], found.worth[tops_at]))
        amounts = found.amounts[len(self.waxes) :]
        used = sorted((self._numbers[place], float(amounts[place])) for place in np.flatnonzero(amounts > USED))
        return LpResult(found.least, worth, tuple(number for number, _ in used), tuple(much for _, much in used))

    def _enter(self, kept: Sequence[GoalLimit]) -> None:
        """Columns weighed since, and rows of goals kept for the first time."""
        fresh = sorted(self.weighed - self._entered)
        self._parts.add(self._columns(fresh, self._kept))
        self._numbers += fresh
        self._entered.update(fresh)
        for goal in (limit.goal for limit in kept):
            if goal not in self._kept:
                self._parts.add_row(self.prices(goal, self._numbers))
                self._kept.append(goal)

    def _worth(self, goal: Goal, kept: Sequence[GoalLimit], out: Collection[str], duals: Floats) -> Duals:
        """What the rows are worth, and the bound that this worth proves whatever a solver rounds."""
        each = iter(duals.tolist())
        wax = {key: next(each) for key in self.waxes}
        size = {key: next(each) for key in self.sizes}
        family = {key: next(each) for key in self.families}
        goals = [(goal, 1.0), *((limit.goal, next(each)) for limit in kept)]
        least = -float(np.dot(self._limits(kept, out), duals))
        for key in sorted(out):
            asked = sum(weight * one.out.get(key, 0.0) for one, weight in goals)
            least += min(0.0, asked - wax[key])
        per_flask = sum(weight * one.per_flask for one, weight in goals)
        per_cost = sum(weight * one.per_cost for one, weight in goals)
        return Duals(wax, family, size, per_flask, per_cost, least)

    def in_whole(
        self,
        goal: Goal,
        kept: Sequence[GoalLimit],
        out: Collection[str],
        only: Sequence[int],
        nodes: int,
        trouble: Floats | None = None,
    ) -> MipResult:
        """Solve the programme in whole numbers.

        Parameters
        ----------
        goal : Goal
            What is to be least.
        kept : sequence of GoalLimit
            Goals that came before; counts are whole, so a solver's rounding is kept half a unit away from them.
        out : collection of str
            Waxes that may stay out.
        only : sequence of int
            The columns to choose among, by number.
        nodes : int
            The most branches that are opened.
        trouble : array of float, optional
            What is to be least instead: a figure for each of these columns.

        Returns
        -------
        MipResult
            The choice and its bound, both of what was to be least.
        """
        if not only:
            return MipResult(None, -np.inf, ended=False)
        kept = [limit if limit.goal.per_cost else replace(limit, most=math.floor(limit.most) + 0.5) for limit in kept]
        goals = [limit.goal for limit in kept]
        most = np.array([float(key in out) for key in self.waxes] + [1.0] * len(only))
        asks = self.prices(goal, only) if trouble is None else np.append(np.zeros(len(self.waxes)), trouble)
        columns = [*self._left_out(goals), *self._columns(only, goals)]
        limits = self._limits(kept, out)
        found = solver.in_whole(asks, columns, (np.full(len(limits), -np.inf), limits), most, nodes)
        if found.amounts is None:
            return MipResult(None, np.inf if found.ended else -np.inf, found.ended)
        places = np.flatnonzero(found.amounts[len(self.waxes) :] > 0.5)
        return MipResult(tuple(only[int(place)] for place in places), found.least, found.ended)
