"""Flasks that no layout was found for: not looked for again, nor any that is harder to lay out. Never a proof."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from casting.calc.grouping.budget import Step
from casting.calc.grouping.colgen.master import Column
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.arrays import Flags, Floats


class NoGoods:
    """What layouts were sought in vain, with how much work, and which columns of a ledger that strikes out."""

    def __init__(self, evaluator: FlaskEvaluator, columns: Sequence[Column]) -> None:
        self.evaluator, self.columns = evaluator, columns
        most = max((size.waxes_max for size in evaluator.rules.sizes.values()), default=1)
        self._sides: Floats = np.zeros((0, min(most, len(evaluator.rules.items)), 2))
        self._bases: Floats = np.zeros((0, 2))
        self.crowding: Floats = np.zeros(0)
        self._sought: list[tuple[int, int]] = []
        self._out: dict[int, tuple[Flags, int]] = {}

    def lays(self, number: int, step: Step) -> bool:
        """True if a layout of a column is known or found; if not, it is struck, with all that are harder."""
        column = self.columns[number]
        if self.out(step)[number]:
            return False
        if self.evaluator.layout(column.keys, column.size, step.work) is not None:
            return True
        self._sought.append((number, step.work))
        return False

    def out(self, step: Step) -> Flags:
        """Which columns are too full for a step, or were sought with its work in vain, or are harder to lay out."""
        self._enter()
        return np.asarray(self._in_vain(step.work) | (self.crowding > step.full))

    def _in_vain(self, work: int) -> Flags:
        out, looked = self._out.get(work, (np.zeros(0, dtype=bool), 0))
        old = len(out)
        out = np.concatenate([out, np.zeros(len(self.columns) - old, dtype=bool)])
        for nth, (number, spent) in enumerate(self._sought):
            if spent >= work:
                since = old if nth < looked else 0
                if self.evaluator.rules.bases[self.columns[number].size].trunk is None:
                    out[since:] |= self._harder(number, since)
                out[number] = True
        self._out[work] = out, len(self._sought)
        return out

    def _harder(self, number: int, since: int) -> Flags:
        """Columns from one on with waxes as large, one by one, on a base no wider; nothing is said of trees."""
        sides = self._sides[number, : len(self.columns[number].keys)]
        narrower = np.all(self._bases[since:] <= self._bases[number], axis=1)
        return np.asarray(narrower & np.all(self._sides[since:, : len(sides)] >= sides - 1e-9, axis=(1, 2)))

    def _enter(self) -> None:
        """Note the shapes of columns that are new."""
        new = self.columns[len(self._sides) :]
        if not new:
            return
        sides = np.zeros((len(new), *self._sides.shape[1:]))
        for row, column in enumerate(new):
            footprints = [self.evaluator.rules.items[key].footprint for key in column.keys]
            sides[row, : len(footprints)] = sorted(
                ((one.half_long_mm, one.half_short_mm) for one in footprints), reverse=True
            )
        bases = [self.evaluator.rules.bases[column.size] for column in new]
        widths = [(np.nan, np.nan) if base.trunk else (base.diameter_mm, base.hub_mm) for base in bases]
        crowding = [self.evaluator.occupancy(column.keys, column.size) for column in new]
        self._sides = np.concatenate([self._sides, sides])
        self._bases = np.concatenate([self._bases, widths])
        self.crowding = np.concatenate([self.crowding, crowding])
