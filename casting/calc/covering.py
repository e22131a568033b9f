"""All waxes of a small day shared out at once, every flask of every kind in view: best plans and their proof."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from casting.calc.columns import Column, columns_of
from casting.calc.flasks import SEEK_HARD, Bench, Flask, Flasks
from casting.calc.words import Aim

NODES = 400
"""Branches that one programme may open: work, not seconds, so that the answer is the same."""

EASE = 1e-6


@dataclass(frozen=True, slots=True)
class Least:
    """What no plan can better: first pieces out, waxes out, flasks and cost, fixed flasks apart."""

    firsts: int
    left: int
    flasks: int
    cost: float


@dataclass(frozen=True, slots=True)
class Cover:
    """The best flasks found, if any, the waxes left out of them, and the bounds."""

    flasks: Flasks | None
    left: frozenset[str]
    least: Least


def cover(
    bench: Bench, fixed: Flasks, loose: Sequence[str], sizes: frozenset[str], most_columns: int, rounds: int
) -> Cover | None:
    """Return the best plan of a day whose every possible flask can be listed.

    Parameters
    ----------
    bench : Bench
        The day's rules, stock and layouts.
    fixed : tuple of Flask
        Flasks that stay as they were.
    loose : sequence of str
        The other waxes that some flask takes.
    sizes : frozenset of str
        The flask sizes that some kiln and firing take.
    most_columns : int
        The most possible flasks that are worth listing.
    rounds : int
        How often a flask without a layout may be struck out and the rest shared out again.

    Returns
    -------
    Cover or None
        None if there are too many possible flasks, or a programme was not solved to its end.

    Notes
    -----
    Each wax stands in one column or stays out; stock is kept; first pieces, then waxes left
    out, then flasks and cost (or cost, to 0.01, and flasks) are made least, one after another. Columns
    are all that no rule and no proof forbids, so the least figures are bounds over all plans.
    The columns chosen are then laid out; one that the search cannot lay out is struck out of
    the plan, never out of the bounds.
    """
    if not loose:
        return Cover(fixed, frozenset(), Least(0, 0, 0, 0.0))
    columns = columns_of(bench, loose, sizes, most_columns)
    if columns is None:
        return None
    programme = _Programme(bench, fixed, loose, columns)
    first = programme.solved(frozenset())
    if first is None:
        return None
    chosen, least = first
    struck: set[int] = set()
    for _ in range(rounds):
        amiss = [
            number for number in chosen if bench.layout(columns[number].keys, columns[number].size, SEEK_HARD) is None
        ]
        if not amiss:
            return _laid(bench, fixed, loose, [columns[number] for number in chosen], least)
        for number in amiss:
            struck |= programme.like(number)
        again = programme.solved(frozenset(struck))
        if again is None:
            break
        chosen = again[0]
    return Cover(None, frozenset(), least)


def _laid(bench: Bench, fixed: Flasks, loose: Sequence[str], chosen: list[Column], least: Least) -> Cover:
    held = bench.day.held
    flasks = fixed + tuple(
        Flask(column.size, column.keys, next((held[key] for key in sorted(column.keys) if key in held), ""))
        for column in chosen
    )
    if not bench.stands(flasks):
        return Cover(None, frozenset(), least)
    inside = {key for flask in flasks for key in flask.keys}
    return Cover(flasks, frozenset(loose) - inside, least)


class _Programme:
    """Columns and waxes left out, as a whole-number programme solved goal by goal."""

    def __init__(self, bench: Bench, fixed: Flasks, loose: Sequence[str], columns: list[Column]) -> None:
        self.bench, self.columns = bench, columns
        self.fixed_cost = sum(bench.cost(flask.keys, flask.size) for flask in fixed)
        self.waxes = sorted(loose)
        self.count = len(columns) + len(self.waxes)
        spare = bench.spare(fixed)
        self.sizes = sorted(spare)
        row_of = {key: row for row, key in enumerate(self.waxes)}
        size_row = {size: len(self.waxes) + row for row, size in enumerate(self.sizes)}
        at = [(row_of[key], number) for number, column in enumerate(columns) for key in sorted(column.keys)]
        at += [(row, len(columns) + row) for row in range(len(self.waxes))]
        at += [(size_row[column.size], number) for number, column in enumerate(columns)]
        rows, places = zip(*at, strict=True) if at else ((), ())
        shape = (len(self.waxes) + len(self.sizes), self.count)
        self.matrix = csr_array((np.ones(len(at)), (rows, places)), shape=shape)
        self.lower = np.concatenate([np.ones(len(self.waxes)), np.zeros(len(self.sizes))])
        self.upper = np.concatenate([np.ones(len(self.waxes)), [float(spare[size]) for size in self.sizes]])

    def like(self, number: int) -> set[int]:
        """The column and those that hold all its waxes on no wider a base; of trees, on the same."""
        one = self.columns[number]
        return {
            other
            for other, column in enumerate(self.columns)
            if one.keys <= column.keys and self._no_wider(column.size, one.size)
        }

    def _no_wider(self, size: str, other: str) -> bool:
        base, wider = self.bench.bases[size], self.bench.bases[other]
        if base.trunk or wider.trunk:
            return size == other
        return base.diameter_mm <= wider.diameter_mm and base.hub_mm <= wider.hub_mm

    def solved(self, struck: frozenset[int]) -> tuple[list[int], Least] | None:
        """The columns of the best share-out without some columns, and its figures."""
        many, waxes = len(self.columns), len(self.waxes)
        firsts = np.array([float(self.bench.pieces[key].wax.piece == 1) for key in self.waxes])
        out = np.concatenate([np.zeros(many), 1 + firsts * (waxes + 1)])
        flasks = np.concatenate([np.ones(many), np.zeros(waxes)])
        costs = np.concatenate([[column.cost for column in self.columns], np.zeros(waxes)])
        goals = [out * (waxes + 1) + flasks, costs]
        if self.bench.day.rules.aim is Aim.LEAST_MATERIAL:
            goals = [out, costs, flasks]
        kept: list[tuple[np.ndarray, float]] = []
        chosen, cost = np.zeros(self.count), 0.0
        for goal in goals:
            found = self._least(goal, kept, struck)
            if found is None:
                return None
            figure, chosen = found
            if goal is costs:
                cost = figure
                kept.append((goal, round(figure + self.fixed_cost, 2) + 0.005 - EASE - self.fixed_cost))
            else:
                kept.append((goal, math.ceil(figure - 1e-4) + 0.5))
        left = chosen[many:] > 0.5
        least = Least(
            firsts=round(float(firsts[left].sum())),
            left=int(left.sum()),
            flasks=round(float(chosen[:many].sum())),
            cost=cost,
        )
        return [number for number in range(many) if chosen[number] > 0.5], least

    def _least(
        self, goal: np.ndarray, kept: Sequence[tuple[np.ndarray, float]], struck: frozenset[int]
    ) -> tuple[float, np.ndarray] | None:
        """The proved least of a goal and a share-out that has it; None if the search was cut short."""
        most = np.ones(self.count)
        most[list(struck)] = 0.0
        for row, key in enumerate(self.waxes):
            if key in self.bench.day.held:
                most[len(self.columns) + row] = 0.0
        constraints = [LinearConstraint(self.matrix, self.lower, self.upper)]
        constraints += [LinearConstraint(row[None, :], -np.inf, figure) for row, figure in kept]
        found = milp(
            goal,
            integrality=np.ones(self.count, dtype=int),
            bounds=Bounds(0, most),
            constraints=constraints,
            options={"node_limit": NODES, "mip_rel_gap": 0.0},
        )
        if found.status != 0 or found.x is None:
            return None
        return float(found.mip_dual_bound), np.asarray(found.x)
