"""Possible flasks and waxes as a programme: in parts for bounds, in whole numbers for plans."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csc_array

from casting.calc.flasks import Bench
from casting.calc.share import Party

Floats = np.ndarray[Any, np.dtype[np.float64]]
Flags = np.ndarray[Any, np.dtype[np.bool_]]

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
    """The least in parts, what it says each wax is worth, and the columns it uses."""

    least: float
    worth: Worth
    used: tuple[int, ...]


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

    def add(self, keys: frozenset[str], size: str) -> int:
        """Enter a column, once; return its number."""
        if (keys, size) not in self.known:
            self.known[keys, size] = len(self.columns)
            party = self.bench.pieces[min(keys)].party
            self.columns.append(Column(keys, size, self.bench.cost(keys, size), party))
        return self.known[keys, size]

    def _fewest(self, out: Collection[str]) -> Mapping[Party, int]:
        """The fewest flasks of each party; where waxes may stay out, it may need fewer."""
        return {} if out else self.at_least

    def _matrix(self, columns: Sequence[Column], kept: Sequence[Kept], out: Collection[str]) -> csc_array:
        """Rows of waxes, sizes, parties and kept goals; columns of flasks, then of waxes left out."""
        names = [*self.waxes, *self.sizes, *self._fewest(out)]
        row = {name: number for number, name in enumerate(names)}
        many = len(columns)
        at: list[tuple[int, int, float]] = []
        for number, column in enumerate(columns):
            at += [(row[key], number, -1.0) for key in sorted(column.keys)]
            at.append((row[column.size], number, 1.0))
            if column.party in row:
                at.append((row[column.party], number, -1.0))
        at += [(row[key], many + number, -1.0) for number, key in enumerate(self.waxes)]
        for nth, limit in enumerate(kept):
            prices = self.prices(limit.goal, columns)
            at += [(len(names) + nth, int(number), float(prices[number])) for number in np.flatnonzero(prices)]
        rows, places, figures = (np.array(one) for one in zip(*at, strict=True))
        shape = (len(names) + len(kept), many + len(self.waxes))
        return csc_array((figures.astype(float), (rows, places)), shape=shape)

    def _limits(self, kept: Sequence[Kept], out: Collection[str]) -> Floats:
        stock = [float(self.spare[size]) for size in self.sizes]
        fewest = [-float(many) for many in self._fewest(out).values()]
        return np.array([-1.0] * len(self.waxes) + stock + fewest + [limit.most for limit in kept])

    def prices(self, goal: Goal, columns: Sequence[Column]) -> Floats:
        """What a goal asks of each column, then of each wax left out."""
        flasks = [goal.per_flask + goal.per_cost * column.cost for column in columns]
        return np.array(flasks + [goal.out.get(key, 0.0) for key in self.waxes])

    def in_parts(self, goal: Goal, kept: Sequence[Kept], out: Collection[str], struck: Flags) -> InParts | None:
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

        Returns
        -------
        InParts or None
            None if nothing keeps to the rows.
        """
        numbers = [n for n in range(len(self.columns)) if n >= len(struck) or not struck[n]]
        columns = [self.columns[number] for number in numbers]
        most = np.array([np.inf] * len(columns) + [float(key in out) for key in self.waxes])
        rows: Any = self._matrix(columns, kept, out)
        between: Any = np.column_stack([np.zeros(len(most)), most])
        limits = self._limits(kept, out)
        found = linprog(self.prices(goal, columns), A_ub=rows, b_ub=limits, bounds=between, method="highs-ds")
        if found.x is None or found.fun is None:
            return None
        duals = np.maximum(0.0, -np.asarray(found.ineqlin.marginals))
        used = tuple(numbers[int(place)] for place in np.flatnonzero(found.x[: len(columns)] > USED))
        return InParts(float(found.fun), self._worth(goal, kept, out, duals), used)

    def _worth(self, goal: Goal, kept: Sequence[Kept], out: Collection[str], duals: Floats) -> Worth:
        """What the rows are worth, and the bound that this worth proves whatever a solver rounds."""
        each = iter(duals.tolist())
        wax = {key: next(each) for key in self.waxes}
        size = {key: next(each) for key in self.sizes}
        party = {key: next(each) for key in self._fewest(out)}
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
            Goals that came before.
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
        columns = [self.columns[number] for number in only]
        if not columns:
            return InWhole(None, -np.inf, ended=False)
        most = np.array([1.0] * len(columns) + [float(key in out) for key in self.waxes])
        found = milp(
            self.prices(goal, columns) if trouble is None else np.append(trouble, np.zeros(len(self.waxes))),
            integrality=np.ones(len(most), dtype=int),
            bounds=Bounds(0, most),
            constraints=LinearConstraint(self._matrix(columns, kept, out), -np.inf, self._limits(kept, out)),
            options={"node_limit": nodes, "mip_rel_gap": 0.0},
        )
        if found.x is None:
            none_at_all = found.status == 2
            return InWhole(None, np.inf if none_at_all else -np.inf, ended=none_at_all)
        bound = found.get("mip_dual_bound")
        chosen = tuple(only[int(place)] for place in np.flatnonzero(found.x[: len(columns)] > 0.5))
        return InWhole(chosen, -np.inf if bound is None else float(bound), ended=found.status == 0)
