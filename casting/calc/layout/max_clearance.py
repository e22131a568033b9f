"""Maximises the least clearance of many trial layouts at once, by projecting ever wider constraints.

`separation` pushes waxes apart until every clearance just holds. Here every gap and wall is asked for more than it
has, less and less beyond it, while paths and reach are asked for no more than the house rules. Flasks of different
waxes and bases form one batch, padded to as many waxes each. Arrays have their trials last, and sums run over waxes
only, so that the other trials of a batch do not change a result.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.separation import AIM, OVER, Constraints, padded, pairs_of
from casting.calc.values.arrays import Flags, Floats
from casting.calc.values.tolerances import SLACK

ONWARD, MOVE = 0.6, 0.7
"""Momentum: shares of the last move and of the new one in each move. Narrow layouts open in half the pushes."""

Flask = tuple[Sequence[Footprint], Base]
"""The waxes of a flask and the base they stand on."""


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
    flasks: Sequence[Flask], trials: Sequence[Floats], more_mm: Sequence[float] | Floats
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

    Returns
    -------
    list of Layouts
        For each flask, in the order of its trials, each at its widest: to 0.001 mm and 0.001 degrees, turns
        from 0 to below 180. One whose paths and reach never held has a margin of minus infinity.
    """
    batch = Batch.of(flasks, [len(one) for one in trials])
    state = np.ascontiguousarray(padded(trials).transpose(2, 1, 0))
    best, widest, going = state, np.full(state.shape[2], -math.inf), np.zeros_like(state)
    wider = np.full(state.shape[2], more_mm[0])
    for more in more_mm:
        move, has, lacks = _correction(batch, state, wider)
        better = (lacks <= 0.0) & (has > widest)
        widest, best = np.where(better, has, widest), np.where(better, state, best)
        going = ONWARD * going + MOVE * move
        state = state + going
        wider = np.maximum(has, 0.0) + more
    best = np.stack([*np.round(best[:2], 3), np.radians(np.round(np.degrees(best[2]) % 180, 3) % 180)])
    _, has, lacks = _correction(batch, best, wider)
    margins, layouts = np.where(lacks <= SLACK, has, -math.inf), best.transpose(2, 1, 0)
    ends = np.cumsum([0, *(len(one) for one in trials)])
    return [
        Layouts(margins[start:end], layouts[start:end, : len(footprints)])
        for (footprints, _), start, end in zip(flasks, ends, ends[1:], strict=False)
    ]


@dataclass(frozen=True)
class Boxes:
    """Boxes of every trial: centres, directions, half sides along and across; each (box, trial)."""

    x: Floats
    y: Floats
    cos: Floats
    sin: Floats
    along: Floats
    across: Floats

    def subset(self, which: NDArray[np.intp]) -> Boxes:
        """The boxes with these numbers, some of them perhaps more than once."""
        each = (self.x, self.y, self.cos, self.sin, self.along, self.across)
        return Boxes(*(one[which] for one in each))


@dataclass(frozen=True)
class Batch:
    """Constraints of many trials: half sides and usable radius (wax, trial), need (pair, trial), hub and reach [mm]."""

    along: Floats
    across: Floats
    usable: Floats
    hub: Floats
    reach: Floats
    need: Floats

    @classmethod
    def of(cls, flasks: Sequence[Flask], trials: Sequence[int]) -> Batch:
        """The batch of several flasks, each with its number of trials; padding waxes have no constraints."""
        constraints = Constraints.of_flasks(flasks, trials)
        along, across = np.moveaxis(constraints.half, (2, 1, 0), (0, 1, 2))
        each = (along, across, constraints.usable.T, constraints.hub[:, 0], constraints.reach[:, 0], constraints.need.T)
        return cls(*(np.ascontiguousarray(one) for one in each))

    @cached_property
    def count(self) -> int:
        """Number of waxes in each trial."""
        return len(self.usable)

    @cached_property
    def only_waxes(self) -> int:
        """Number of pairs of two waxes; in the pairs after them the first is a path."""
        return self.count * (self.count - 1) // 2

    @cached_property
    def both_ways(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Firsts and seconds of the pairs, then seconds and firsts."""
        first, second = pairs_of(self.count)
        return np.concatenate([first, second]), np.concatenate([second, first])

    @cached_property
    def of_wax(self) -> NDArray[np.intp]:
        """For each wax the positions of it or its path among the firsts, then the seconds, of all pairs."""
        one, other = pairs_of(self.count) % self.count
        return np.array([np.flatnonzero(np.concatenate([one, other]) == wax) for wax in range(self.count)])

    @cached_property
    def ease(self) -> Floats:
        """Inverse square of each wax's radius of gyration [1/mm2]: how easily it turns."""
        ease: Floats = 3.0 / (self.along**2 + self.across**2)
        return ease

    @cached_property
    def eases(self) -> tuple[Floats, Floats]:
        """The same for first and second of each pair; a path does not turn by itself."""
        first, second = pairs_of(self.count)
        of_first = self.ease[first % self.count]
        of_first[self.only_waxes :] = 0.0
        return of_first, self.ease[second]

    @cached_property
    def paths(self) -> NDArray[np.intp]:
        """Box numbers of the paths in pairs of a path and a wax."""
        return self.both_ways[0][self.only_waxes : self.only_waxes * 3]

    def boxes(self, state: Floats) -> tuple[Boxes, Floats]:
        """Waxes, then each wax's path to the hub as a box of no width; and the distance of each foot from the axis."""
        x, y, turn = state
        far = np.hypot(x, y) + 1e-12
        half = np.maximum(far - self.hub, 0.0) / 2
        out_x, out_y = x / far, y / far
        return Boxes(
            np.concatenate([x, out_x * (far - half)]),
            np.concatenate([y, out_y * (far - half)]),
            np.concatenate([np.cos(turn), out_x]),
            np.concatenate([np.sin(turn), out_y]),
            np.concatenate([self.along, half]),
            np.concatenate([self.across, np.zeros_like(half)]),
        ), far


@dataclass(frozen=True)
class Corner:
    """A corner in another box's frame, mirrored into the first quadrant, and the box's point nearest to it."""

    x: Floats
    y: Floats
    spot_x: Floats
    spot_y: Floats

    @classmethod
    def of(cls, x: Floats, y: Floats, box: Boxes) -> Corner:
        """The corner at x along and y across a box [mm]."""
        return cls(x, y, np.clip(x, -box.along, box.along), np.clip(y, -box.across, box.across))

    @property
    def away_2(self) -> Floats:
        """Squared distance of the corner from the box [mm2]."""
        away_2: Floats = (self.x - self.spot_x) ** 2 + (self.y - self.spot_y) ** 2
        return away_2

    def or_else(self, here: Flags, other: Corner) -> Corner:
        """This corner where `here` is true, the other elsewhere."""
        return Corner(
            np.where(here, self.x, other.x),
            np.where(here, self.y, other.y),
            np.where(here, self.spot_x, other.spot_x),
            np.where(here, self.spot_y, other.spot_y),
        )


@dataclass(frozen=True)
class RelativePose:
    """Boxes in the frames of other boxes: centre along and across, and direction."""

    x: Floats
    y: Floats
    cos: Floats
    sin: Floats

    @classmethod
    def of(cls, box: Boxes, other: Boxes) -> RelativePose:
        """The other box in the frame of a box."""
        dx, dy = other.x - box.x, other.y - box.y
        return cls(
            dx * box.cos + dy * box.sin,
            dy * box.cos - dx * box.sin,
            box.cos * other.cos + box.sin * other.sin,
            box.cos * other.sin - box.sin * other.cos,
        )

    def corners(self, box: Boxes, other: Boxes) -> tuple[Corner, Corner]:
        """The other's corners nearest along and nearest across the box: one of the two is the nearest."""
        off_x, off_y, cos, sin = np.abs(self.x), np.abs(self.y), np.abs(self.cos), np.abs(self.sin)
        long_x, long_y, wide_x, wide_y = cos * other.along, sin * other.along, sin * other.across, cos * other.across
        lean = np.copysign(1.0, self.cos * self.sin * self.x * self.y)
        return (
            Corner.of(off_x - long_x - wide_x, off_y + lean * (wide_y - long_y), box),
            Corner.of(off_x + lean * (wide_x - long_x), off_y - long_y - wide_y, box),
        )


@dataclass(frozen=True)
class Contact:
    """For each pair: gap (negative in an overlap), direction from first to second, lever arms, place on a path."""

    gap: Floats
    x: Floats
    y: Floats
    first: Floats
    second: Floats
    on_path: Floats


def _nearest(pose: RelativePose, box: Boxes, other: Boxes) -> tuple[Corner, Floats, Floats, Floats]:
    """For each pair, both ways round: the nearest corner, its distance, and the direction to it.

    Where two overlap, the shortest way out along a side decides, and the distance is negative.
    """
    back, down = pose.corners(box, other)
    out_x, out_y = back.x - box.along, down.y - box.across
    out = np.maximum(out_x, out_y)
    half = len(out) // 2
    apart = np.tile(np.maximum(out[:half], out[half:]) > 0, (2, 1))
    away_back, away_down = back.away_2, down.away_2
    is_back = np.where(apart, away_back <= away_down, out_x >= out_y)
    corner = back.or_else(is_back, down)
    away = np.sqrt(np.where(is_back, away_back, away_down))
    per = 1.0 / np.maximum(away, 1e-12)
    way_x = np.where(apart, (corner.x - corner.spot_x) * per, is_back)
    way_y = np.where(apart, (corner.y - corner.spot_y) * per, ~is_back)
    return corner, np.where(apart, away, out), way_x, way_y


def _contacts(batch: Batch, boxes: Boxes) -> Contact:
    """The gap of every pair, and where and in which direction it is measured."""
    box, other = (boxes.subset(which) for which in batch.both_ways)
    pose = RelativePose.of(box, other)
    corner, gap, way_x, way_y = _nearest(pose, box, other)
    half, paths = len(gap) // 2, batch.only_waxes
    fold_x, fold_y = np.copysign(1.0, pose.x), np.copysign(1.0, pose.y)
    arm_x, arm_y = corner.x - np.abs(pose.x), corner.y - np.abs(pose.y)
    mine = fold_x * fold_y * (corner.spot_x * way_y - corner.spot_y * way_x)
    theirs = fold_x * fold_y * (arm_x * way_y - arm_y * way_x)
    way_x, way_y = fold_x * way_x, fold_y * way_y
    to_x, to_y = way_x * box.cos - way_y * box.sin, way_x * box.sin + way_y * box.cos
    # Apart, the nearer of two nearest corners counts; overlapping, the shorter way out, which is the greater gap.
    one, two = gap[:half], gap[half:]
    by_first = np.where((one > 0) & (two > 0), one <= two, one >= two)
    return Contact(
        np.where(by_first, one, two),
        np.where(by_first, to_x[:half], -to_x[half:]),
        np.where(by_first, to_y[:half], -to_y[half:]),
        np.where(by_first, mine[:half], -theirs[half:]),
        np.where(by_first, theirs[:half], -mine[half:]),
        np.where(
            by_first[paths:],
            (fold_x * corner.spot_x)[paths:half],
            (fold_x * arm_x * pose.cos + fold_y * arm_y * pose.sin)[half + paths :],
        ),
    )


def _correction(batch: Batch, state: Floats, wider: Floats) -> tuple[Floats, Floats, Floats]:
    """The averaged move of each wax, the margin of each trial, and the most that its paths and reach lack."""
    boxes, far = batch.boxes(state)
    contact = _contacts(batch, boxes)
    waxes = batch.only_waxes
    lack = batch.need + AIM - contact.gap
    lack[:waxes] += wider
    lack[waxes:][boxes.along[batch.paths] <= 0] = -math.inf  # a foot on the hub has no path
    beyond = far + (AIM - batch.reach)
    over, moves, counts = _from_walls(batch, boxes, wider)
    has = wider + AIM - np.maximum(lack[:waxes].max(axis=0), over.max(axis=0))
    lacks = np.maximum(lack[waxes:].max(axis=0), beyond.max(axis=0)) - AIM
    moves = moves + _from_pairs(batch, boxes, contact, far, np.maximum(lack, 0.0))
    counts = counts + np.tile(lack > 0, (2, 1))[batch.of_wax].sum(axis=1) + (beyond > 0)
    home = np.maximum(beyond, 0.0) / far
    moves[:2] -= state[:2] * home
    return moves * (OVER / np.maximum(counts, 1.0)), has, lacks


def _from_pairs(batch: Batch, boxes: Boxes, contact: Contact, far: Floats, lack: Floats) -> Floats:
    """The moves that pairs ask of each wax, added up; a path turns about the axis with the foot of its wax."""
    waxes, foot = batch.only_waxes, batch.paths - batch.count
    share = (far[foot] - boxes.along[batch.paths] + contact.on_path) / far[foot]
    out_x, out_y = boxes.cos[batch.paths], boxes.sin[batch.paths]
    aside = share * (out_x * contact.y[waxes:] - out_y * contact.x[waxes:])
    back_x = np.concatenate([contact.x[:waxes], -aside * out_y])
    back_y = np.concatenate([contact.y[:waxes], aside * out_x])
    turn_1, turn_2 = batch.eases[0] * contact.first, batch.eases[1] * contact.second
    scale = lack / (back_x**2 + back_y**2 + turn_1 * contact.first + 1.0 + turn_2 * contact.second)
    asked = ((back_x, contact.x), (back_y, contact.y), (turn_1, turn_2))
    return np.stack([np.concatenate([-one * scale, two * scale])[batch.of_wax].sum(axis=1) for one, two in asked])


def _from_walls(batch: Batch, boxes: Boxes, wider: Floats) -> tuple[Floats, Floats, Floats]:
    """How far each wax reaches beyond the usable circle, the moves that bring its corners back, and their number."""
    count = batch.count
    x, y, cos, sin = (one[:count] for one in (boxes.x, boxes.y, boxes.cos, boxes.sin))
    long_x, long_y = batch.along * cos, batch.along * sin
    wide_x, wide_y = -batch.across * sin, batch.across * cos
    arm_x = np.stack([long_x + wide_x, wide_x - long_x, -long_x - wide_x, long_x - wide_x])
    arm_y = np.stack([long_y + wide_y, wide_y - long_y, -long_y - wide_y, long_y - wide_y])
    far = np.hypot(arm_x + x, arm_y + y)
    over = far + (AIM - batch.usable + wider)
    out_x, out_y = (arm_x + x) / far, (arm_y + y) / far
    turn = arm_x * out_y - arm_y * out_x
    back = np.maximum(over, 0.0) / (1.0 + batch.ease * turn**2)
    moves = [-(out_x * back).sum(axis=0), -(out_y * back).sum(axis=0), -batch.ease * (turn * back).sum(axis=0)]
    return over.max(axis=0), np.stack(moves), (over > 0).sum(axis=0)
