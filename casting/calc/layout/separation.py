"""Separation of waxes in many trial layouts at once, by averaged projection of violated constraints.

In a step every clearance that does not hold moves and turns its waxes just enough to restore it; the moves of one wax
are averaged. Nothing here decides: a layout counts only when `verify` accepts it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from casting.calc.layout.contacts import Boxes, Constraints, Contact, contacts
from casting.calc.values.arrays import Floats

AIM = 0.02
"""Asked beyond each clearance [mm], so that the steps end on the right side of it."""

OVER = 3.2
"""Over-relaxation of the averaged moves. Of 1 to 5, tried on class days, it finds most layouts in fewest steps."""


@dataclass(frozen=True)
class Correction:
    """One step: the averaged move of each wax (figure, wax, trial), and what it lacked before, negative if it had more.

    Of waxes that stand as they are there is no move, and no lack of wall and reach.
    Lacks of gaps between waxes, of paths, of walls and of reach (pair or wax, trial) [mm].
    """

    move: Floats
    gaps: Floats
    paths: Floats
    walls: Floats
    reach: Floats

    @property
    def worst_of_room(self) -> Floats:
        """The most that the gaps and walls of each trial lack [mm]."""
        most: Floats = np.maximum(self.gaps.max(axis=0), self.walls.max(axis=0))
        return most

    @property
    def worst_of_access(self) -> Floats:
        """The most that the paths and the reach of each trial lack [mm]."""
        most: Floats = np.maximum(self.paths.max(axis=0), self.reach.max(axis=0))
        return most

    @property
    def worst(self) -> Floats:
        """The most that each trial lacks, 0 if it lacks nothing [mm]."""
        return np.maximum(np.maximum(self.worst_of_room, self.worst_of_access), 0.0)

    @property
    def total(self) -> Floats:
        """All that each trial lacks, added up [mm]."""
        total: Floats = sum(np.maximum(one, 0.0).sum(axis=0) for one in (self.gaps, self.paths, self.walls, self.reach))
        return total


def push(constraints: Constraints, state: Floats, aim_mm: float = AIM, wider_mm: float | Floats = 0.0) -> Correction:
    """Return one separation step of every trial.

    Parameters
    ----------
    constraints : Constraints
        The constraints of the waxes on their bases.
    state : array of float
        x [mm], y [mm], turn [radians]; wax; trial.
    aim_mm : float
        Asked beyond every clearance [mm].
    wider_mm : float or array of float
        Asked beyond that of gaps and walls, but not of paths and reach; one for each trial [mm].

    Returns
    -------
    Correction
        The moves, and what each trial lacks of what is asked.
    """
    boxes, far = constraints.boxes(state)
    pairs = constraints.pairs
    contact, waxes = contacts(pairs, boxes), pairs.only_waxes
    far, feet = far[: pairs.free], far[pairs.feet]
    lack = constraints.need + aim_mm - contact.gap
    lack[:waxes] += wider_mm
    lack[waxes:][boxes.along[pairs.paths] <= 0] = -math.inf  # a foot on the hub has no path
    beyond = far + (aim_mm - constraints.reach)
    walls, moves, counts = _from_walls(constraints, boxes, aim_mm + wider_mm)
    moves += _from_pairs(constraints, boxes, contact, feet, np.maximum(lack, 0.0))
    counts = counts + np.tile(lack > 0, (2, 1))[pairs.of_wax].sum(axis=1) + (beyond > 0)
    moves[:2] -= state[:2, : pairs.free] * (np.maximum(beyond, 0.0) / far)
    return Correction(moves * (OVER / np.maximum(counts, 1.0)), lack[:waxes], lack[waxes:], walls, beyond)


def _from_pairs(constraints: Constraints, boxes: Boxes, contact: Contact, feet: Floats, lack: Floats) -> Floats:
    """The moves that pairs ask of each wax, added up; a path turns about the axis with the foot of its wax."""
    pairs = constraints.pairs
    waxes, paths = pairs.only_waxes, pairs.paths
    share = (feet - boxes.along[paths] + contact.on_path) / feet
    out_x, out_y = boxes.cos[paths], boxes.sin[paths]
    aside = share * (out_x * contact.y[waxes:] - out_y * contact.x[waxes:])
    back_x = np.concatenate([contact.x[:waxes], -aside * out_y])
    back_y = np.concatenate([contact.y[:waxes], aside * out_x])
    turn_1, turn_2 = constraints.eases[0] * contact.first, constraints.eases[1] * contact.second
    scale = lack / (back_x**2 + back_y**2 + turn_1 * contact.first + 1.0 + turn_2 * contact.second)
    asked = ((back_x, contact.x), (back_y, contact.y), (turn_1, turn_2))
    return np.stack([np.concatenate([-one * scale, two * scale])[pairs.of_wax].sum(axis=1) for one, two in asked])


def _from_walls(constraints: Constraints, boxes: Boxes, beyond_mm: float | Floats) -> tuple[Floats, Floats, Floats]:
    """How far each wax reaches beyond the usable circle, the moves that bring its corners back, and their number."""
    free = slice(constraints.pairs.free)
    x, y, cos, sin = (one[free] for one in (boxes.x, boxes.y, boxes.cos, boxes.sin))
    long_x, long_y = constraints.along[free] * cos, constraints.along[free] * sin
    wide_x, wide_y = -constraints.across[free] * sin, constraints.across[free] * cos
    arm_x = np.stack([long_x + wide_x, wide_x - long_x, -long_x - wide_x, long_x - wide_x])
    arm_y = np.stack([long_y + wide_y, wide_y - long_y, -long_y - wide_y, long_y - wide_y])
    far = np.hypot(arm_x + x, arm_y + y)
    over = far + (beyond_mm - constraints.usable[free])
    per = 1.0 / np.maximum(far, 1e-12)
    out_x, out_y = (arm_x + x) * per, (arm_y + y) * per
    turn = arm_x * out_y - arm_y * out_x
    ease = constraints.ease[free]
    back = np.maximum(over, 0.0) / (1.0 + ease * turn**2)
    moves = [-(out_x * back).sum(axis=0), -(out_y * back).sum(axis=0), -ease * (turn * back).sum(axis=0)]
    return over.max(axis=0), np.stack(moves), (over > 0).sum(axis=0)
