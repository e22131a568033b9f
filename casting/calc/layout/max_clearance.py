"""Maximises the least clearance of many trial layouts at once, by projecting ever wider constraints.

Every gap and wall is asked for more than it has, less and less beyond it, while paths and reach are asked for no more
than the house rules.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from casting.calc.layout.contacts import Constraints, Flask, padded
from casting.calc.layout.separation import AIM, push
from casting.calc.values.arrays import Floats
from casting.calc.values.tolerances import SLACK

ONWARD, MOVE = 0.6, 0.7
"""Momentum: shares of the last move and of the new one in each move. Narrow layouts open in half the pushes."""


@dataclass(frozen=True)
class Layouts:
    """Layouts as they are printed (trial; wax; x, y [mm], turn [radians]) and the margin of each [mm]."""

    margin_mm: Floats
    layouts: Floats

    def subset(self, which: NDArray[np.intp]) -> Layouts:
        """The layouts with these numbers."""
        return Layouts(self.margin_mm[which], self.layouts[which])

    def joined_with(self, other: Layouts) -> Layouts:
        """These layouts, then the others."""
        return Layouts(np.concatenate([self.margin_mm, other.margin_mm]), np.concatenate([self.layouts, other.layouts]))


def maximise_clearance(
    flasks: Sequence[Flask], trials: Sequence[Floats], more_mm: Sequence[float] | Floats, free: int | None = None
) -> list[Layouts]:
    """Return each trial layout of each flask at its largest least clearance.

    Parameters
    ----------
    flasks : sequence of (sequence of Footprint, Base)
        The waxes of each flask, two or more, and the base they stand on.
    trials : sequence of array of float
        For each flask trial, wax, and x [mm], y [mm], turn [radians]; waxes may overlap.
    more_mm : sequence of float
        How much wider than it is every gap and wall of a trial is asked to be, push by push [mm].
    free : int, optional
        How many waxes of each flask move, the first ones; the margin is then theirs. All if not given.

    Returns
    -------
    list of Layouts
        For each flask, in the order of its trials, each at its widest: to 0.001 mm and 0.001 degrees, turns
        from 0 to below 180. One whose paths and reach never held has a margin of minus infinity.
    """
    constraints, state = Constraints.of(flasks, [len(one) for one in trials], free), padded(trials)
    best, widest, going = state, np.full(state.shape[2], -math.inf), np.zeros_like(state[:, :free])
    wider = np.full(state.shape[2], more_mm[0])
    for more in more_mm:
        pushed = push(constraints, state, wider_mm=wider)
        has = wider + AIM - pushed.worst_of_room
        better = (pushed.worst_of_access <= AIM) & (has > widest)
        widest, best = np.where(better, has, widest), np.where(better, state, best)
        going = ONWARD * going + MOVE * pushed.move
        state = np.concatenate([state[:, : len(going[0])] + going, state[:, len(going[0]) :]], axis=1)
        wider = np.maximum(has, 0.0) + more
    best = np.stack([*np.round(best[:2], 3), np.radians(np.round(np.degrees(best[2]) % 180, 3) % 180)])
    as_printed = push(constraints, best, aim_mm=0.0)
    margins = np.where(as_printed.worst_of_access <= SLACK, -as_printed.worst_of_room, -math.inf)
    layouts, ends = best.transpose(2, 1, 0), np.cumsum([0, *(len(one) for one in trials)])
    return [
        Layouts(margins[start:end], layouts[start:end, : len(footprints)])
        for (footprints, _), start, end in zip(flasks, ends, ends[1:], strict=False)
    ]
