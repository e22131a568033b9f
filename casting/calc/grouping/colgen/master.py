"""The restricted master problem: an LP over the columns known so far for bounds, a MIP over some of them for plans."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from casting.calc.grouping.colgen.goals import Goal, GoalLimit
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.flask_rules import Family
from casting.calc.grouping.highs import Columns, IncrementalLP, solve_mip
from casting.calc.values.arrays import Counts, Flags, Floats

USED = 1e-6
"""An LP uses a column if its amount is more than this."""


@dataclass(frozen=True, slots=True)
class Column:
    """Waxes in a flask of a size that no rule or proof forbids; whether they have a layout is not known yet."""

    keys: frozenset[str]
    size: str
    cost: float
    family: Family


@dataclass(frozen=True, slots=True)
class Duals:
    """The dual values of an LP by row, and the weights of flasks and cost in its goals together.

    `lower_bound` is the bound that they prove if no column has a reduced profit.
    """

    wax: Mapping[str, float]
    family: Mapping[Family, float]
    size: Mapping[str, float]
    per_flask: float
    per_cost: float
    lower_bound: float

    def fixed_cost(self, size: str, family: Family) -> float:
        """What a flask of a size and family takes off its waxes' dual values, excluding its cost."""
        return self.per_flask + self.size[size] - self.family.get(family, 0.0)


@dataclass(frozen=True, slots=True)
class LpResult:
    """The optimum of the LP, its dual values, the columns it uses and the amount of each."""

    objective: float
    duals: Duals
    used: tuple[int, ...]
    amounts: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MipResult:
    """The columns chosen, None if none were found; the proved bound; whether the search ran to completion."""

    chosen: tuple[int, ...] | None
    lower_bound: float
    is_complete: bool


class RestrictedMaster:
    """The columns known so far of some waxes, the stock of flasks, and the fewest flasks of each family.

    Each wax is in at least one column or left out. A wax in two is taken out of one of them, which
    is always allowed, so the bounds hold for every plan.
    """

    def __init__(
        self, evaluator: FlaskEvaluator, spare: Mapping[str, int], loose: Sequence[str], fewest: Mapping[Family, int]
    ) -> None:
        self.evaluator, self.spare, self.waxes = evaluator, spare, sorted(loose)
        self.sizes, self.fewest = sorted(spare), dict(sorted(fewest.items()))
        self.columns: list[Column] = []
        self.in_lp: set[int] = set()
        self.families = sorted({evaluator.rules.items[key].family for key in loose})
        self._numbers: dict[tuple[frozenset[str], str], int] = {}
        self._wax_rows = {key: row for row, key in enumerate(self.waxes)}
        self._size_rows = {size: len(self.waxes) + nth for nth, size in enumerate(self.sizes)}
        after = len(self.waxes) + len(self.sizes)
        self._family_rows = {family: after + nth for nth, family in enumerate(self.families)}
        self._row_count = after + len(self.families)
        self._rows: list[Counts] = []
        self._costs: list[float] = []
        self._lp = IncrementalLP(self._row_count)
        self._lp.add_columns([(np.array([row]), np.array([-1.0])) for row in range(len(self.waxes))])
        self._lp_numbers: list[int] = []
        self._entered: set[int] = set()
        self._limited: list[Goal] = []

    def add(self, keys: frozenset[str], size: str, *, to_lp: bool = True) -> int:
        """Add a column unless it is known, to the LP too or to MIPs only; return its number."""
        if (keys, size) not in self._numbers:
            self._numbers[keys, size] = len(self.columns)
            family, cost = self.evaluator.rules.items[min(keys)].family, self.evaluator.rules.cost(keys, size)
            self.columns.append(Column(keys, size, cost, family))
            waxes = sorted(self._wax_rows[key] for key in keys)
            self._rows.append(np.array([*waxes, self._size_rows[size], self._family_rows[family]]))
            self._costs.append(cost)
        number = self._numbers[keys, size]
        if to_lp:
            self.in_lp.add(number)
        return number

    def is_in_lp(self, keys: frozenset[str], size: str) -> bool:
        """True if the LP has this column."""
        return self._numbers.get((keys, size)) in self.in_lp

    def _columns(self, numbers: Sequence[int], goals: Sequence[Goal]) -> Columns:
        """Columns in the rows of waxes, sizes, families and limited goals."""
        weights = np.array([self.costs(goal, numbers)[len(self.waxes) :] for goal in goals])
        after = np.arange(self._row_count, self._row_count + len(goals))
        columns = []
        for nth, number in enumerate(numbers):
            rows = self._rows[number]
            figures = np.where((rows >= len(self.waxes)) & (rows < len(self.waxes) + len(self.sizes)), 1.0, -1.0)
            columns.append((np.append(rows, after), np.append(figures, weights[:, nth])) if goals else (rows, figures))
        return columns

    def _left_out(self, goals: Sequence[Goal]) -> Columns:
        """A column for each wax left out, in its row and those of limited goals."""
        after = np.arange(self._row_count, self._row_count + len(goals))
        return [
            (np.append(row, after), np.array([-1.0, *(goal.out.get(key, 0.0) for goal in goals)]))
            for row, key in enumerate(self.waxes)
        ]

    def _right_sides(self, limits: Sequence[GoalLimit], may_stay_out: Collection[str]) -> Floats:
        """The limit of each row; where waxes may stay out, a family may need fewer flasks."""
        stock = [float(self.spare[size]) for size in self.sizes]
        fewest = [0.0 if may_stay_out else -float(self.fewest.get(family, 0)) for family in self.families]
        return np.array([-1.0] * len(self.waxes) + stock + fewest + [limit.upper_bound for limit in limits])

    def costs(self, goal: Goal, numbers: Sequence[int]) -> Floats:
        """The weights in a goal: first one for each wax left out, then one for each of these columns."""
        costs = np.array([self._costs[number] for number in numbers])
        return np.append([goal.out.get(key, 0.0) for key in self.waxes], goal.per_flask + goal.per_cost * costs)

    def reduced_profits(self, duals: Duals, numbers: Sequence[int]) -> Floats:
        """The reduced profit of each of these columns: its dual values less its weight in the goals."""
        by_row = np.array(
            [duals.wax[key] for key in self.waxes]
            + [-duals.size[size] for size in self.sizes]
            + [duals.family.get(family, 0.0) for family in self.families]
        )
        sums = np.array([by_row[self._rows[number]].sum() for number in numbers])
        return np.asarray(sums - self.costs(Goal("", duals.per_flask, duals.per_cost, {}), numbers)[len(self.waxes) :])

    def solve_lp(
        self,
        goal: Goal,
        limits: Sequence[GoalLimit],
        may_stay_out: Collection[str],
        excluded: Flags,
        chosen: Collection[int] = (),
    ) -> LpResult | None:
        """Solve the LP relaxation.

        Parameters
        ----------
        goal : Goal
            The goal to minimise.
        limits : sequence of GoalLimit
            Limits of the previous goals.
        may_stay_out : collection of str
            Waxes that may be left out.
        excluded : array of bool
            Columns, by number, that are not to be used; those beyond its end may be.
        chosen : collection of int
            Columns of the LP that are used at least once, excluded or not.

        Returns
        -------
        LpResult or None
            None if the LP is infeasible.
        """
        self._enter(limits)
        numbers = np.array(self._lp_numbers, dtype=int)
        usable = ~np.append(excluded, np.zeros(max(0, len(self.columns) - len(excluded)), dtype=bool))[numbers]
        is_chosen = np.isin(numbers, list(chosen))
        lower = np.append(np.zeros(len(self.waxes)), np.where(is_chosen, 1.0, 0.0))
        upper = np.append([float(key in may_stay_out) for key in self.waxes], np.where(usable | is_chosen, np.inf, 0.0))
        by_name = {limit.goal.name: limit.upper_bound for limit in limits}
        right = np.append(self._right_sides([], may_stay_out), [by_name.get(one.name, np.inf) for one in self._limited])
        found = self._lp.solve(self.costs(goal, self._lp_numbers), lower, upper, right)
        if found is None:
            return None
        names = [one.name for one in self._limited]
        rows = [self._row_count + names.index(limit.goal.name) for limit in limits]
        duals = self._duals(goal, limits, may_stay_out, np.append(found.duals[: self._row_count], found.duals[rows]))
        amounts = found.amounts[len(self.waxes) :]
        used = sorted((self._lp_numbers[place], float(amounts[place])) for place in np.flatnonzero(amounts > USED))
        return LpResult(
            found.objective, duals, tuple(number for number, _ in used), tuple(amount for _, amount in used)
        )

    def _enter(self, limits: Sequence[GoalLimit]) -> None:
        """Give the LP the columns added since, and a row for each goal that is limited for the first time."""
        fresh = sorted(self.in_lp - self._entered)
        self._lp.add_columns(self._columns(fresh, self._limited))
        self._lp_numbers += fresh
        self._entered.update(fresh)
        for goal in (limit.goal for limit in limits):
            if goal not in self._limited:
                self._lp.add_row(self.costs(goal, self._lp_numbers))
                self._limited.append(goal)

    def _duals(self, goal: Goal, limits: Sequence[GoalLimit], may_stay_out: Collection[str], values: Floats) -> Duals:
        """The dual values by row, and the bound that they prove despite the solver's rounding."""
        each = iter(values.tolist())
        wax = {key: next(each) for key in self.waxes}
        size = {key: next(each) for key in self.sizes}
        family = {key: next(each) for key in self.families}
        goals = [(goal, 1.0), *((limit.goal, next(each)) for limit in limits)]
        bound = -float(np.dot(self._right_sides(limits, may_stay_out), values))
        for key in sorted(may_stay_out):
            weight = sum(dual * one.out.get(key, 0.0) for one, dual in goals)
            bound += min(0.0, weight - wax[key])
        per_flask = sum(dual * one.per_flask for one, dual in goals)
        per_cost = sum(dual * one.per_cost for one, dual in goals)
        return Duals(wax, family, size, per_flask, per_cost, bound)

    def solve_mip(
        self,
        goal: Goal,
        limits: Sequence[GoalLimit],
        may_stay_out: Collection[str],
        numbers: Sequence[int],
        nodes: int,
        tie_break: Floats | None = None,
    ) -> MipResult:
        """Choose among some columns by a MIP.

        Parameters
        ----------
        goal : Goal
            The goal to minimise.
        limits : sequence of GoalLimit
            Limits of the previous goals; counts are whole, so their limits are set half a unit above.
        may_stay_out : collection of str
            Waxes that may be left out.
        numbers : sequence of int
            The columns to choose among.
        nodes : int
            The most branches.
        tie_break : array of float, optional
            What to minimise instead of the goal: a figure for each of these columns.

        Returns
        -------
        MipResult
            The choice and a bound, both of what was minimised.
        """
        if not numbers:
            return MipResult(None, -np.inf, is_complete=False)
        limits = [
            limit if limit.goal.per_cost else replace(limit, upper_bound=math.floor(limit.upper_bound) + 0.5)
            for limit in limits
        ]
        goals = [limit.goal for limit in limits]
        upper = np.array([float(key in may_stay_out) for key in self.waxes] + [1.0] * len(numbers))
        costs = self.costs(goal, numbers) if tie_break is None else np.append(np.zeros(len(self.waxes)), tie_break)
        columns = [*self._left_out(goals), *self._columns(numbers, goals)]
        right = self._right_sides(limits, may_stay_out)
        found = solve_mip(costs, columns, (np.full(len(right), -np.inf), right), upper, nodes)
        if found.amounts is None:
            return MipResult(None, np.inf if found.is_complete else -np.inf, found.is_complete)
        places = np.flatnonzero(found.amounts[len(self.waxes) :] > 0.5)
        return MipResult(tuple(numbers[int(place)] for place in places), found.lower_bound, found.is_complete)
