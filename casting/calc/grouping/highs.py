"""Programmes that HiGHS solves: in parts, gone on with from one question to the next, and in whole numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from casting.calc.values.arrays import Counts, Flags, Floats

Columns = Sequence[tuple[Counts, Floats]]
"""For each column the rows it stands in, and its figures there."""

PLAIN = (
    ("presolve", "off"),
    ("mip_heuristic_run_rins", False),
    ("mip_heuristic_run_rens", False),
    ("mip_rel_gap", 0.0),
)
"""What in_whole leaves out and asks for. Of 13 programmes of 310 to 4,159 flasks, 13.4 s with all that HiGHS does
beforehand, 5.8 s without, 4.4 s without programmes inside the programme too; all with the same least.
"""

ENDED = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
"""What a programme in parts comes to; if to neither, going on went astray and it is begun anew."""

DUAL, PRIMAL = 1, 4
"""Simplex by HiGHS's numbers: from columns that still earn nothing, or from amounts that still keep to the rows."""


@dataclass(frozen=True, slots=True)
class Solved:
    """The least of a programme in parts, how much of each column, and what a unit of each row is worth."""

    least: float
    amounts: Floats
    worth: Floats


@dataclass(frozen=True, slots=True)
class Whole:
    """How many of each column, None if none were found; the proved least; whether the search came to its end."""

    amounts: Floats | None
    least: float
    ended: bool


class Parts:
    """Columns under rows that come to so much at most, asked again and again as columns and limits change.

    Each answer is gone on from to the next, so the same questions in the same order have the same answers.
    """

    def __init__(self, rows: int) -> None:
        self._solver = _solver(np.full(rows, -np.inf), np.full(rows, np.inf))
        self._asked = np.zeros((3, 0))
        self._limits = np.full(rows, np.inf)

    def add(self, columns: Columns) -> None:
        """Enter columns after those there; none of them may be used until it is asked for."""
        if columns:
            none = np.zeros(len(columns))
            self._solver.addCols(len(columns), none, none, none, *_packed(columns))
            self._asked = np.concatenate([self._asked, np.zeros((3, len(columns)))], axis=1)

    def add_row(self, figures: Floats) -> None:
        """Enter a row after those there, with a figure for each column."""
        places = np.flatnonzero(figures).astype(np.int32)
        self._solver.addRow(-np.inf, np.inf, len(places), places, figures[places])
        self._limits = np.append(self._limits, np.inf)

    def solve(self, prices: Floats, least: Floats, most: Floats, limits: Floats) -> Solved | None:
        """Return the least price of all columns.

        Parameters
        ----------
        prices, least, most : array of float
            For each column its price, and the least and the most that may be used of it.
        limits : array of float
            What each row may come to.

        Returns
        -------
        Solved or None
            None if nothing keeps to the rows.
        """
        bound = self._change(np.stack([prices, least, most]), limits)
        self._solver.setOptionValue("simplex_strategy", DUAL if bound else PRIMAL)
        self._solver.run()
        if self._solver.getModelStatus() not in ENDED:
            self._solver.clearSolver()
            self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        found = self._solver.getSolution()
        worth = np.maximum(0.0, -np.array(found.row_dual))
        return Solved(float(self._solver.getInfo().objective_function_value), np.array(found.col_value), worth)

    def _change(self, asked: Floats, limits: Floats) -> bool:
        """Tell the solver what is not as before; True if what was used before may no longer be."""
        dear = np.flatnonzero(asked[0] != self._asked[0]).astype(np.int32)
        freed = (asked[1] == self._asked[1]) & (self._asked[2] == 0.0)
        other = np.flatnonzero((asked[1:] != self._asked[1:]).any(axis=0)).astype(np.int32)
        if len(dear):
            self._solver.changeColsCost(len(dear), dear, asked[0, dear])
        if len(other):
            self._solver.changeColsBounds(len(other), other, asked[1, other], asked[2, other])
        rows = np.flatnonzero(limits != self._limits).tolist()
        for row in rows:
            self._solver.changeRowBounds(row, -np.inf, limits[row])
        self._asked, self._limits = asked, limits
        return bool(rows) or not bool(freed[other].all())


def in_whole(
    prices: Floats, columns: Columns, rows: tuple[Floats, Floats], most: Floats, nodes: int, parts: Flags | None = None
) -> Whole:
    """Solve a programme in whole numbers from nought.

    Parameters
    ----------
    prices : array of float
        What each column asks; the sum is to be least.
    columns : sequence of (array of int, array of float)
        The rows that each stands in, and its figures there.
    rows : tuple of (array of float, array of float)
        The least and the most that each row may come to.
    most : array of float
        The most of each column.
    nodes : int
        The most branches that are opened: work, not seconds, so that the answer is the same.
    parts : array of bool, optional
        Columns that need not be whole.

    Returns
    -------
    Whole
        Columns used, and their proved least: infinite if nothing keeps to the rows.
    """
    solver, count = _solver(*rows), len(columns)
    for option, value in (*PLAIN, ("mip_max_nodes", nodes)):
        solver.setOptionValue(option, value)
    solver.addCols(count, prices, np.zeros(count), most, *_packed(columns))
    whole = np.arange(count, dtype=np.int32) if parts is None else np.flatnonzero(~parts).astype(np.int32)
    solver.changeColsIntegrality(len(whole), whole, np.full(len(whole), highspy.HighsVarType.kInteger))
    solver.run()
    status, info = solver.getModelStatus(), solver.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Whole(None, np.inf, ended=True)
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    amounts = np.array(solver.getSolution().col_value) if found else None
    return Whole(amounts, float(info.mip_dual_bound), status == highspy.HighsModelStatus.kOptimal)


def columns_of(figures: Floats) -> Columns:
    """Return the columns of a table of figures.

    Parameters
    ----------
    figures : array of float
        Row, column.

    Returns
    -------
    sequence of (array of int, array of float)
        For each column the rows where it is not nought, and its figures there.
    """
    rows = [np.flatnonzero(column) for column in figures.T]
    return [(places, column[places]) for places, column in zip(rows, figures.T, strict=True)]


def _solver(least: Floats, most: Floats) -> highspy.Highs:
    """A quiet solver with one thread and rows between these, without columns yet."""
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in (("output_flag", False), ("threads", 1), ("parallel", "off")):
        solver.setOptionValue(option, value)
    none = np.zeros(0, dtype=np.int32)
    solver.addRows(len(least), least, most, 0, np.zeros(len(least), dtype=np.int32), none, np.zeros(0))
    return solver


def _packed(columns: Columns) -> tuple[int, Counts, Counts, Floats]:
    """Columns as HiGHS takes them: how many figures, where each column begins, their rows, and they."""
    ends = np.cumsum([len(rows) for rows, _ in columns], dtype=np.int32)
    rows = np.concatenate([rows for rows, _ in columns]).astype(np.int32)
    return int(ends[-1]), np.append(np.int32(0), ends[:-1]), rows, np.concatenate([one for _, one in columns])
