"""Possible flasks and waxes as a programme: in parts for bounds, in whole numbers for plans."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array, vstack

from casting.calc.flasks import Bench
from casting.calc.share import Party

Floats = np.ndarray[Any, np.dtype[np.float64]]
Flags = np.ndarray[Any, np.dtype[np.bool_]]
Counts = np.ndarray[Any, np.dtype[np.int_]]

USED = 1e-6
"""A column is used in parts if it is used more than this."""


@dataclass(frozen=True, slots=True)
class Column:
    """Waxes in a flask of a size, as far as any rule or proof knows; its layout is still to be found."""

    keys: frozenset[str]
    size: str
    cost: float
    party: Party


@dataclass(frozen=True, slots=True)
class Goal:
    """What is to be least: so much for a flask, for a unit of cost, for each wax left out."""

    name: str
    per_flask: float
    per_cost: float
    out: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Kept:
    """A goal that may not go beyond what a plan has."""

    goal: Goal
    most: float


@dataclass(frozen=True, slots=True)
class Worth:
    """What a flask earns: each wax in it and its party, less its size and what the goals ask of it.

    `least` is the programme's bound if no flask earns anything.
    """

    wax: Mapping[str, float]
    party: Mapping[Party, float]
    size: Mapping[str, float]
    per_flask: float
    per_cost: float
    least: float

    def asked(self, size: str, party: Party) -> float:
        """What a flask of a size and party has to earn, its cost apart."""
        return self.per_flask + self.size[size] - self.party.get(party, 0.0)


@dataclass(frozen=True, slots=True)
class InParts:
    """The least in parts, what it says each wax is worth, the columns it uses and how much of each."""

    least: float
    worth: Worth
    used: tuple[int, ...]
    amounts: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class InWhole:
    """The columns chosen, if any; the proved least; whether the search came to its end."""

    chosen: tuple[int, ...] | None
    least: float
    ended: bool


class Ledger:
    """The columns known so far of some waxes, the shelf's stock, and the fewest flasks of each party.

    Each wax stands in at least one column or stays out. A wax in two is taken out of one of them,
    which no rule forbids, so the figures of the programme bound those of every plan.
    """

    def __init__(
        self, bench: Bench, spare: Mapping[str, int], loose: Sequence[str], at_least: Mapping[Party, int]
    ) -> None:
        self.bench, self.spare, self.waxes = bench, spare, sorted(loose)
        self.sizes, self.at_least = sorted(spare), dict(sorted(at_least.items()))
        self.columns: list[Column] = []
        self.known: dict[tuple[frozenset[str], str], int] = {}
        self.weighed: set[int] = set()
        self.parties = sorted({bench.pieces[key].party for key in loose})
        self._wax_rows = {key: row for row, key in enumerate(self.waxes)}
        self._size_rows = {size: len(self.waxes) + nth for nth, size in enumerate(self.sizes)}
        after = len(self.waxes) + len(self.sizes)
        self._party_rows = {party: after + nth for nth, party in enumerate(self.parties)}
        self._many_rows = after + len(self.parties)
        self._rows: list[Counts] = []
        self._costs: list[float] = []

    def add(self, keys: frozenset[str], size: str, *, weighed: bool = True) -> int:
        """Enter a column, once, to be weighed in parts or only chosen among; return its number."""
        if (keys, size) not in self.known:
            self.known[keys, size] = len(self.columns)
            party, cost = self.bench.pieces[min(keys)].party, self.bench.cost(keys, size)
            self.columns.append(Column(keys, size, cost, party))
            waxes = sorted(self._wax_rows[key] for key in keys)
            self._rows.append(np.array([*waxes, self._size_rows[size], self._party_rows[party]]))
            self._costs.append(cost)
        number = self.known[keys, size]
        if weighed:
            self.weighed.add(number)
        return number

    def weighs(self, keys: frozenset[str], size: str) -> bool:
        """True if a column is weighed in parts."""
        return self.known.get((keys, size)) in self.weighed

    def _matrix(self, numbers: Sequence[int], kept: Sequence[Kept]) -> csc_array:
        """Rows of waxes, sizes, parties and kept goals; columns of flasks, then of waxes left out."""
        columns = [self._rows[number] for number in numbers] + [np.array([row]) for row in range(len(self.waxes))]
        rows = np.concatenate(columns)
        starts = np.concatenate([[0], np.cumsum([len(one) for one in columns])])
        is_size = (rows >= len(self.waxes)) & (rows < len(self.waxes) + len(self.sizes))
        covers = csc_array((np.where(is_size, 1.0, -1.0), rows, starts), shape=(self._many_rows, len(columns)))
        prices = np.array([self.prices(limit.goal, numbers) for limit in kept]).reshape(len(kept), len(columns))
        return csc_array(vstack([covers, csc_array(prices)], format="csc"))

    def _limits(self, kept: Sequence[Kept], out: Collection[str]) -> Floats:
        """What each row may come to; where waxes may stay out, a party may need fewer flasks."""
        stock = [float(self.spare[size]) for size in self.sizes]
        fewest = [0.0 if out else -float(self.at_least.get(party, 0)) for party in self.parties]
        return np.array([-1.0] * len(self.waxes) + stock + fewest + [limit.most for limit in kept])

    def prices(self, goal: Goal, numbers: Sequence[int]) -> Floats:
        """What a goal asks of each of these columns, then of each wax left out."""
        costs = np.array([self._costs[number] for number in numbers])
        return np.append(goal.per_flask + goal.per_cost * costs, [goal.out.get(key, 0.0) for key in self.waxes])

    def earnings(self, worth: Worth, numbers: Sequence[int]) -> Floats:
        """What each of these columns earns by what waxes are worth, less what is asked of it."""
        by_row = np.array(
            [worth.wax[key] for key in self.waxes]
            + [-worth.size[size] for size in self.sizes]
            + [worth.party.get(party, 0.0) for party in self.parties]
        )
        sums = np.array([by_row[self._rows[number]].sum() for number in numbers])
        return np.asarray(sums - self.prices(Goal("", worth.per_flask, worth.per_cost, {}), numbers)[: len(numbers)])

    def in_parts(
        self, goal: Goal, kept: Sequence[Kept], out: Collection[str], struck: Flags, fixed: Collection[int] = ()
    ) -> InParts | None:
        """Solve the programme in parts.

        Parameters
        ----------
        goal : Goal
            What is to be least.
        kept : sequence of Kept
            Goals that came before.
        out : collection of str
            Waxes that may stay out.
        struck : array of bool
            Columns, by number, that do not count; those beyond its end do.
        fixed : collection of int
            Columns that are chosen already; these count in any case.

        Returns
        -------
        InParts or None
            None if nothing keeps to the rows.
        """
        numbers = sorted({n for n in self.weighed if n >= len(struck) or not struck[n]}.union(fixed))
        least = [float(number in fixed) for number in numbers] + [0.0] * len(self.waxes)
        most = [np.inf] * len(numbers) + [float(key in out) for key in self.waxes]
        rows: Any = self._matrix(numbers, kept)
        between: Any = np.column_stack([least, most])
        limits = self._limits(kept, out)
        found = linprog(self.prices(goal, numbers), A_ub=rows, b_ub=limits, bounds=between, method="highs-ds")
        if found.x is None or found.fun is None:
            return None
        duals = np.maximum(0.0, -np.asarray(found.ineqlin.marginals))
        places = np.flatnonzero(found.x[: len(numbers)] > USED).tolist()
        used, amounts = tuple(numbers[place] for place in places), tuple(found.x[places].tolist())
        return InParts(float(found.fun), self._worth(goal, kept, out, duals), used, amounts)

    def _worth(self, goal: Goal, kept: Sequence[Kept], out: Collection[str], duals: Floats) -> Worth:
        """What the rows are worth, and the bound that this worth proves whatever a solver rounds."""
        each = iter(duals.tolist())
        wax = {key: next(each) for key in self.waxes}
        size = {key: next(each) for key in self.sizes}
        party = {key: next(each) for key in self.parties}
        goals = [(goal, 1.0), *((limit.goal, next(each)) for limit in kept)]
        least = -float(np.dot(self._limits(kept, out), duals))
        for key in sorted(out):
            asked = sum(weight * one.out.get(key, 0.0) for one, weight in goals)
            least += min(0.0, asked - wax[key])
        per_flask = sum(weight * one.per_flask for one, weight in goals)
        per_cost = sum(weight * one.per_cost for one, weight in goals)
        return Worth(wax, party, size, per_flask, per_cost, least)

    def in_whole(
        self,
        goal: Goal,
        kept: Sequence[Kept],
        out: Collection[str],
        only: Sequence[int],
        nodes: int,
        trouble: Floats | None = None,
    ) -> InWhole:
        """Solve the programme in whole numbers.

        Parameters
        ----------
        goal : Goal
            What is to be least.
        kept : sequence of Kept
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
        InWhole
            The choice and its bound, both of what was to be least.
        """
        if not only:
            return InWhole(None, -np.inf, ended=False)
        kept = [limit if limit.goal.per_cost else replace(limit, most=math.floor(limit.most) + 0.5) for limit in kept]
        most = np.array([1.0] * len(only) + [float(key in out) for key in self.waxes])
        found = milp(
            self.prices(goal, only) if trouble is None else np.append(trouble, np.zeros(len(self.waxes))),
            integrality=np.ones(len(most), dtype=int),
            bounds=Bounds(0, most),
            constraints=LinearConstraint(self._matrix(only, kept), -np.inf, self._limits(kept, out)),
            options={"node_limit": nodes, "mip_rel_gap": 0.0},
        )
        if found.x is None:
            none_at_all = found.status == 2
            return InWhole(None, np.inf if none_at_all else -np.inf, ended=none_at_all)
        bound = found.get("mip_dual_bound")
        chosen = tuple(only[int(place)] for place in np.flatnonzero(found.x[: len(only)] > 0.5))
        return InWhole(chosen, -np.inf if bound is None else float(bound), ended=found.status == 0)
