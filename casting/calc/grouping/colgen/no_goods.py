"""No-goods: columns whose layout search failed, and all that are at least as hard. Never a proof."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from casting.calc.grouping.budget import Step
from casting.calc.grouping.colgen.master import Column
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.arrays import Flags, Floats


class NoGoods:
    """The failed layout searches of a master's columns, and which columns each of them excludes."""

    def __init__(self, evaluator: FlaskEvaluator, columns: Sequence[Column]) -> None:
        self.evaluator, self.columns = evaluator, columns
        most = max((size.waxes_max for size in evaluator.rules.sizes.values()), default=1)
        self._sides: Floats = np.zeros((0, min(most, len(evaluator.rules.items)), 2))
        self._bases: Floats = np.zeros((0, 2))
        self.occupancy: Floats = np.zeros(0)
        self._failed: list[tuple[int, int]] = []
        self._excluded: dict[int, tuple[Flags, int]] = {}

    def find_layout(self, number: int, step: Step) -> bool:
        """True if a column's layout is known or found; if not, it is excluded with all that are as hard."""
        column = self.columns[number]
        if self.excluded(step)[number]:
            return False
        if self.evaluator.layout(column.keys, column.size, step.work) is not None:
            return True
        self._failed.append((number, step.work))
        return False

    def excluded(self, step: Step) -> Flags:
        """Columns that are too full for a step, whose layout search failed with its work, or that are as hard."""
        self._enter()
        return np.asarray(self._ruled_out(step.work) | (self.occupancy > step.full))

    def _ruled_out(self, work: int) -> Flags:
        """Columns ruled out by the searches that failed with at least so much work."""
        excluded, failures = self._excluded.get(work, (np.zeros(0, dtype=bool), 0))
        old = len(excluded)
        excluded = np.concatenate([excluded, np.zeros(len(self.columns) - old, dtype=bool)])
        for nth, (number, spent) in enumerate(self._failed):
            if spent >= work:
                since = old if nth < failures else 0
                if self._tells_of_others(self.columns[number]):
                    excluded[since:] |= self._as_hard(number, since)
                excluded[number] = True
        self._excluded[work] = excluded, len(self._failed)
        return excluded

    def _tells_of_others(self, column: Column) -> bool:
        """Whether a failed search says something of waxes as large; not on a tree, nor around spots given by hand."""
        return self.evaluator.rules.bases[column.size].trunk is None and not self.evaluator.has_spots(column.keys)

    def _as_hard(self, number: int, since: int) -> Flags:
        """Columns from one on with waxes as large, one by one, on a base no wider; none on trees."""
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
        occupancy = [self.evaluator.occupancy(column.keys, column.size) for column in new]
        self._sides = np.concatenate([self._sides, sides])
        self._bases = np.concatenate([self._bases, widths])
        self.occupancy = np.concatenate([self.occupancy, occupancy])
