"""HiGHS behind two doors: an LP that is re-solved from its last basis, and a MIP."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from casting.calc.values.arrays import Counts, Flags, Floats

Columns = Sequence[tuple[Counts, Floats]]
"""For each column its rows, and its coefficients there."""

PLAIN = (
    ("presolve", "off"),
    ("mip_heuristic_run_rins", False),
    ("mip_heuristic_run_rens", False),
    ("mip_rel_gap", 0.0),
    ("mip_pool_soft_limit", 500),
)
"""Options of a MIP. Of 13 MIPs of 310 to 4,159 columns, 13.4 s with presolve and sub-MIP heuristics, 5.8 s without
presolve, 4.4 s without either; all with the same optimum. A MIP of 4,020 columns keeps 607 MB with HiGHS's own limit
of its cut pool, 282 MB with this one, and takes no longer.
"""

FINAL = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible)
"""Final statuses of an LP. On any other it is solved again from scratch."""

DUAL, PRIMAL = 1, 4
"""HiGHS's numbers of the dual and the primal simplex: which of them resumes depends on what stays feasible."""


@dataclass(frozen=True, slots=True)
class LpSolution:
    """The optimum of an LP, the amount of each column, and the dual value of each row, at least 0."""

    objective: float
    amounts: Floats
    duals: Floats


@dataclass(frozen=True, slots=True)
class MipSolution:
    """The amount of each column, None if none were found; the proved bound; whether the search came to its end."""

    amounts: Floats | None
    lower_bound: float
    is_complete: bool


class IncrementalLP:
    """An LP with <= rows, re-solved from the last basis as columns and limits change.

    Each solution starts from the previous one, so the same calls in the same order have the same answers.
    """

    def __init__(self, rows: int) -> None:
        self._solver = _solver(np.full(rows, -np.inf), np.full(rows, np.inf))
        self._columns = np.zeros((3, 0))
        self._limits = np.full(rows, np.inf)

    def add_columns(self, columns: Columns) -> None:
        """Add columns after those there, fixed at 0 until `solve` gives them bounds.

        Parameters
        ----------
        columns : sequence of (array of int, array of float)
            For each its rows, and its coefficients there.
        """
        if columns:
            none = np.zeros(len(columns))
            self._solver.addCols(len(columns), none, none, none, *_packed(columns))
            self._columns = np.concatenate([self._columns, np.zeros((3, len(columns)))], axis=1)

    def add_row(self, coefficients: Floats) -> None:
        """Add a row after those there.

        Parameters
        ----------
        coefficients : array of float
            One for each column.
        """
        places = np.flatnonzero(coefficients).astype(np.int32)
        self._solver.addRow(-np.inf, np.inf, len(places), places, coefficients[places])
        self._limits = np.append(self._limits, np.inf)

    def solve(self, costs: Floats, lower: Floats, upper: Floats, limits: Floats) -> LpSolution | None:
        """Return the solution of least cost.

        Parameters
        ----------
        costs, lower, upper : array of float
            For each column its cost, and the least and the most that may be used of it.
        limits : array of float
            The most that each row may come to.

        Returns
        -------
        LpSolution or None
            None if the LP is infeasible.
        """
        bounds_moved = self._change(np.stack([costs, lower, upper]), limits)
        self._solver.setOptionValue("simplex_strategy", DUAL if bounds_moved else PRIMAL)
        self._solver.run()
        if self._solver.getModelStatus() not in FINAL:
            self._solver.clearSolver()
            self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        found = self._solver.getSolution()
        duals = np.maximum(0.0, -np.array(found.row_dual))
        return LpSolution(float(self._solver.getInfo().objective_function_value), np.array(found.col_value), duals)

    def _change(self, columns: Floats, limits: Floats) -> bool:
        """Tell the solver what changed; True if the last solution may now break a bound or a limit."""
        before = self._columns
        repriced = np.flatnonzero(columns[0] != before[0]).astype(np.int32)
        freed = (columns[1] == before[1]) & (before[2] == 0.0)
        rebounded = np.flatnonzero((columns[1:] != before[1:]).any(axis=0)).astype(np.int32)
        if len(repriced):
            self._solver.changeColsCost(len(repriced), repriced, columns[0, repriced])
        if len(rebounded):
            self._solver.changeColsBounds(len(rebounded), rebounded, columns[1, rebounded], columns[2, rebounded])
        rows = np.flatnonzero(limits != self._limits).tolist()
        for row in rows:
            self._solver.changeRowBounds(row, -np.inf, limits[row])
        self._columns, self._limits = columns, limits
        return bool(rows) or not bool(freed[rebounded].all())


def solve_mip(
    costs: Floats,
    columns: Columns,
    rows: tuple[Floats, Floats],
    upper: Floats,
    nodes: int,
    continuous: Flags | None = None,
) -> MipSolution:
    """Solve a MIP from scratch.

    Parameters
    ----------
    costs : array of float
        One for each column; the sum is minimised.
    columns : sequence of (array of int, array of float)
        For each its rows, and its coefficients there.
    rows : tuple of (array of float, array of float)
        The least and the most that each row may come to.
    upper : array of float
        The most that may be used of each column; the least is 0.
    nodes : int
        The most branches: work, not seconds, so that the answer is the same on every machine.
    continuous : array of bool, optional
        Columns that need not be whole.

    Returns
    -------
    MipSolution
        Its bound is infinite if the MIP is infeasible.
    """
    solver, count = _solver(*rows), len(columns)
    for option, value in (*PLAIN, ("mip_max_nodes", nodes)):
        solver.setOptionValue(option, value)
    solver.addCols(count, costs, np.zeros(count), upper, *_packed(columns))
    whole = np.arange(count, dtype=np.int32) if continuous is None else np.flatnonzero(~continuous).astype(np.int32)
    solver.changeColsIntegrality(len(whole), whole, np.full(len(whole), highspy.HighsVarType.kInteger))
    solver.run()
    status, info = solver.getModelStatus(), solver.getInfo()
    if status == highspy.HighsModelStatus.kInfeasible:
        return MipSolution(None, np.inf, is_complete=True)
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    amounts = np.array(solver.getSolution().col_value) if found else None
    return MipSolution(amounts, float(info.mip_dual_bound), status == highspy.HighsModelStatus.kOptimal)


def columns_of(matrix: Floats) -> Columns:
    """Return the columns of a matrix.

    Parameters
    ----------
    matrix : array of float
        Row, column.

    Returns
    -------
    sequence of (array of int, array of float)
        For each column the rows where it is not 0, and its coefficients there.
    """
    rows = [np.flatnonzero(column) for column in matrix.T]
    return [(places, column[places]) for places, column in zip(rows, matrix.T, strict=True)]


def _solver(lower: Floats, upper: Floats) -> highspy.Highs:
    """A quiet solver with one thread and rows between these bounds, without columns yet."""
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in (("output_flag", False), ("threads", 1), ("parallel", "off")):
        solver.setOptionValue(option, value)
    none = np.zeros(0, dtype=np.int32)
    solver.addRows(len(lower), lower, upper, 0, np.zeros(len(lower), dtype=np.int32), none, np.zeros(0))
    return solver


def _packed(columns: Columns) -> tuple[int, Counts, Counts, Floats]:
    """Columns as HiGHS takes them: the number of coefficients, where each column begins, rows, coefficients."""
    ends = np.cumsum([len(rows) for rows, _ in columns], dtype=np.int32)
    rows = np.concatenate([rows for rows, _ in columns]).astype(np.int32)
    return int(ends[-1]), np.append(np.int32(0), ends[:-1]), rows, np.concatenate([one for _, one in columns])
