"""Many trial layouts at once, spread until the narrowest clearance of each is as wide as it gets.

`settling` pushes waxes apart until they just hold; here every gap and wall is asked for more than it has, less
and less beyond it, while paths and reach are asked for no more than the house rules. Flasks of different waxes
and bases stand beside one another, padded to as many waxes each. Arrays have their trials last, and sums run
over waxes only, so that what stands beside a trial does not touch it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.separation import AIM, OVER, Room, padded, pairs_of
from casting.calc.values.arrays import Flags, Floats
from casting.calc.values.tolerances import SLACK

ONWARD, MOVE = 0.6, 0.7
"""Shares of the last move and of the new one in each move: what is narrow opens in half the pushes."""


Flask = tuple[Sequence[Footprint], Base]
"""The waxes of a flask and the base they stand on."""


@dataclass(frozen=True)
class Spread:
    """Trial layouts as they are printed (trial, wax, and x, y, turn) and the margin of each [mm]."""

    margin_mm: Floats
    layouts: Floats

    def some(self, which: NDArray[np.intp]) -> Spread:
        """Some of them."""
        return Spread(self.margin_mm[which], self.layouts[which])

    def beside(self, other: Spread) -> Spread:
        """These and others."""
        return Spread(np.concatenate([self.margin_mm, other.margin_mm]), np.concatenate([self.layouts, other.layouts]))


def spread(flasks: Sequence[Flask], trials: Sequence[Floats], more_mm: Sequence[float] | Floats) -> list[Spread]:
    """Return how wide the trials of each flask come to stand.

    Parameters
    ----------
    flasks : sequence of (sequence of Footprint, Base)
        The waxes of each flask, two or more, and the base they stand on.
    trials : sequence of array of float
        For each flask trial, wax, and x [mm], y [mm], turn [radians]; waxes may overlap.
    more_mm : sequence of float
        How much more than it has each trial is asked of every gap and wall, push by push [mm].

    Returns
    -------
    list of Spread
        For each flask, in the order of its trials, each at its widest: to 0.001 mm and 0.001 degrees, turns
        from 0 to below 180. One whose paths and reach never held has a margin of minus infinity.
    """
    crowd = Crowd.of(flasks, [len(one) for one in trials])
    state = np.ascontiguousarray(padded(trials).transpose(2, 1, 0))
    best, widest, going = state, np.full(state.shape[2], -math.inf), np.zeros_like(state)
    wider = np.full(state.shape[2], more_mm[0])
    for more in more_mm:
        move, has, lacks = _push(crowd, state, wider)
        better = (lacks <= 0.0) & (has > widest)
        widest, best = np.where(better, has, widest), np.where(better, state, best)
        going = ONWARD * going + MOVE * move
        state = state + going
        wider = np.maximum(has, 0.0) + more
    best = np.stack([*np.round(best[:2], 3), np.radians(np.round(np.degrees(best[2]) % 180, 3) % 180)])
    _, has, lacks = _push(crowd, best, wider)
    margins, layouts = np.where(lacks <= SLACK, has, -math.inf), best.transpose(2, 1, 0)
    ends = np.cumsum([0, *(len(one) for one in trials)])
    return [
        Spread(margins[start:end], layouts[start:end, : len(footprints)])
        for (footprints, _), start, end in zip(flasks, ends, ends[1:], strict=False)
    ]


@dataclass(frozen=True)
class Boxes:
    """Boxes of every trial: middles, directions, half sides along and across; each box, trial."""

    x: Floats
    y: Floats
    cos: Floats
    sin: Floats
    along: Floats
    across: Floats

    def some(self, which: NDArray[np.intp]) -> Boxes:
        """Some of the boxes, or some of them more than once."""
        each = (self.x, self.y, self.cos, self.sin, self.along, self.across)
        return Boxes(*(one[which] for one in each))


@dataclass(frozen=True)
class Crowd:
    """Bases and the waxes on them: half sides, usable and need by wax or pair and trial, hub and reach by trial."""

    along: Floats
    across: Floats
    usable: Floats
    hub: Floats
    reach: Floats
    need: Floats

    @classmethod
    def of(cls, flasks: Sequence[Flask], trials: Sequence[int]) -> Crowd:
        """Flasks beside one another, each for so many trials; nothing is asked of waxes that make up the number."""
        room = Room.beside(flasks, trials)
        along, across = np.moveaxis(room.half, (2, 1, 0), (0, 1, 2))
        each = (along, across, room.usable.T, room.hub[:, 0], room.reach[:, 0], room.need.T)
        return cls(*(np.ascontiguousarray(one) for one in each))

    @cached_property
    def count(self) -> int:
        """How many waxes."""
        return len(self.usable)

    @cached_property
    def only_waxes(self) -> int:
        """How many of the pairs are of two waxes; in the others a path comes first."""
        return self.count * (self.count - 1) // 2

    @cached_property
    def both_ways(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Pairs, then pairs the other way round."""
        first, second = pairs_of(self.count)
        return np.concatenate([first, second]), np.concatenate([second, first])

    @cached_property
    def of_wax(self) -> NDArray[np.intp]:
        """For each wax its places among firsts, then seconds, of all pairs, its path's among them."""
        one, other = pairs_of(self.count) % self.count
        return np.array([np.flatnonzero(np.concatenate([one, other]) == wax) for wax in range(self.count)])

    @cached_property
    def ease(self) -> Floats:
        """How easily each wax turns: one over the square of its radius of gyration."""
        ease: Floats = 3.0 / (self.along**2 + self.across**2)
        return ease

    @cached_property
    def eases(self) -> tuple[Floats, Floats]:
        """The same of first and second of each pair; a path does not turn of itself."""
        first, second = pairs_of(self.count)
        of_first = self.ease[first % self.count]
        of_first[self.only_waxes :] = 0.0
        return of_first, self.ease[second]

    @cached_property
    def paths(self) -> NDArray[np.intp]:
        """The boxes of the paths that come first in pairs."""
        return self.both_ways[0][self.only_waxes : self.only_waxes * 3]

    def boxes(self, state: Floats) -> tuple[Boxes, Floats]:
        """Waxes, then each wax's path to the hub as a box without width; and how far the feet are off the axis."""
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
    """A corner of one box as another sees it, folded into its first quarter, and the spot on that nearest to it."""

    x: Floats
    y: Floats
    spot_x: Floats
    spot_y: Floats

    @classmethod
    def of(cls, x: Floats, y: Floats, box: Boxes) -> Corner:
        """The corner at x along and y across a box."""
        return cls(x, y, np.clip(x, -box.along, box.along), np.clip(y, -box.across, box.across))

    @property
    def away_2(self) -> Floats:
        """The square of its distance."""
        away_2: Floats = (self.x - self.spot_x) ** 2 + (self.y - self.spot_y) ** 2
        return away_2

    def or_else(self, here: Flags, other: Corner) -> Corner:
        """This one here, the other elsewhere."""
        return Corner(
            np.where(here, self.x, other.x),
            np.where(here, self.y, other.y),
            np.where(here, self.spot_x, other.spot_x),
            np.where(here, self.spot_y, other.spot_y),
        )


@dataclass(frozen=True)
class Sight:
    """Boxes as others see them: middle along and across those, and direction."""

    x: Floats
    y: Floats
    cos: Floats
    sin: Floats

    @classmethod
    def of(cls, box: Boxes, other: Boxes) -> Sight:
        """The other as the box sees it."""
        dx, dy = other.x - box.x, other.y - box.y
        return cls(
            dx * box.cos + dy * box.sin,
            dy * box.cos - dx * box.sin,
            box.cos * other.cos + box.sin * other.sin,
            box.cos * other.sin - box.sin * other.cos,
        )

    def corners(self, box: Boxes, other: Boxes) -> tuple[Corner, Corner]:
        """Of the other's corners the farthest back along, and the farthest back across: one of them is nearest."""
        off_x, off_y, cos, sin = np.abs(self.x), np.abs(self.y), np.abs(self.cos), np.abs(self.sin)
        long_x, long_y, wide_x, wide_y = cos * other.along, sin * other.along, sin * other.across, cos * other.across
        lean = np.copysign(1.0, self.cos * self.sin * self.x * self.y)
        return (
            Corner.of(off_x - long_x - wide_x, off_y + lean * (wide_y - long_y), box),
            Corner.of(off_x + lean * (wide_x - long_x), off_y - long_y - wide_y, box),
        )


@dataclass(frozen=True)
class Touch:
    """For each pair: gap (negative if they overlap), direction from first to second, levers, and where on a path."""

    gap: Floats
    x: Floats
    y: Floats
    first: Floats
    second: Floats
    on_path: Floats


def _nearest(sight: Sight, box: Boxes, other: Boxes) -> tuple[Corner, Floats, Floats, Floats]:
    """For each pair, then each the other way round: the nearest corner, its distance, and the way there.

    Overlapping, the shortest way out along a side decides, and the distance is negative.
    """
    back, down = sight.corners(box, other)
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


def _touch(crowd: Crowd, boxes: Boxes) -> Touch:
    """Every pair's gap, and where and in what direction it is measured."""
    box, other = (boxes.some(which) for which in crowd.both_ways)
    sight = Sight.of(box, other)
    corner, gap, way_x, way_y = _nearest(sight, box, other)
    half, paths = len(gap) // 2, crowd.only_waxes
    fold_x, fold_y = np.copysign(1.0, sight.x), np.copysign(1.0, sight.y)
    arm_x, arm_y = corner.x - np.abs(sight.x), corner.y - np.abs(sight.y)
    mine = fold_x * fold_y * (corner.spot_x * way_y - corner.spot_y * way_x)
    theirs = fold_x * fold_y * (arm_x * way_y - arm_y * way_x)
    way_x, way_y = fold_x * way_x, fold_y * way_y
    to_x, to_y = way_x * box.cos - way_y * box.sin, way_x * box.sin + way_y * box.cos
    # Apart, the nearer of two nearest corners counts; overlapping, the shorter way out, which is the greater gap.
    one, two = gap[:half], gap[half:]
    by_first = np.where((one > 0) & (two > 0), one <= two, one >= two)
    return Touch(
        np.where(by_first, one, two),
        np.where(by_first, to_x[:half], -to_x[half:]),
        np.where(by_first, to_y[:half], -to_y[half:]),
        np.where(by_first, mine[:half], -theirs[half:]),
        np.where(by_first, theirs[:half], -mine[half:]),
        np.where(
            by_first[paths:],
            (fold_x * corner.spot_x)[paths:half],
            (fold_x * arm_x * sight.cos + fold_y * arm_y * sight.sin)[half + paths :],
        ),
    )


def _push(crowd: Crowd, state: Floats, wider: Floats) -> tuple[Floats, Floats, Floats]:
    """The averaged move of each wax, each trial's margin, and the most that its paths and reach lack."""
    boxes, far = crowd.boxes(state)
    touch = _touch(crowd, boxes)
    waxes = crowd.only_waxes
    lack = crowd.need + AIM - touch.gap
    lack[:waxes] += wider
    lack[waxes:][boxes.along[crowd.paths] <= 0] = -math.inf  # a foot on the hub has no path
    beyond = far + (AIM - crowd.reach)
    over, moves, counts = _from_walls(crowd, boxes, wider)
    has = wider + AIM - np.maximum(lack[:waxes].max(axis=0), over.max(axis=0))
    lacks = np.maximum(lack[waxes:].max(axis=0), beyond.max(axis=0)) - AIM
    moves = moves + _from_pairs(crowd, boxes, touch, far, np.maximum(lack, 0.0))
    counts = counts + np.tile(lack > 0, (2, 1))[crowd.of_wax].sum(axis=1) + (beyond > 0)
    home = np.maximum(beyond, 0.0) / far
    moves[:2] -= state[:2] * home
    return moves * (OVER / np.maximum(counts, 1.0)), has, lacks


def _from_pairs(crowd: Crowd, boxes: Boxes, touch: Touch, far: Floats, lack: Floats) -> Floats:
    """What pairs ask of each wax, added up; a path turns about the axis with its wax's foot."""
    waxes, foot = crowd.only_waxes, crowd.paths - crowd.count
    share = (far[foot] - boxes.along[crowd.paths] + touch.on_path) / far[foot]
    out_x, out_y = boxes.cos[crowd.paths], boxes.sin[crowd.paths]
    aside = share * (out_x * touch.y[waxes:] - out_y * touch.x[waxes:])
    back_x = np.concatenate([touch.x[:waxes], -aside * out_y])
    back_y = np.concatenate([touch.y[:waxes], aside * out_x])
    turn_1, turn_2 = crowd.eases[0] * touch.first, crowd.eases[1] * touch.second
    scale = lack / (back_x**2 + back_y**2 + turn_1 * touch.first + 1.0 + turn_2 * touch.second)
    asked = ((back_x, touch.x), (back_y, touch.y), (turn_1, turn_2))
    return np.stack([np.concatenate([-one * scale, two * scale])[crowd.of_wax].sum(axis=1) for one, two in asked])


def _from_walls(crowd: Crowd, boxes: Boxes, wider: Floats) -> tuple[Floats, Floats, Floats]:
    """How far each wax is over the usable circle, what brings its corners back, and how many ask for it."""
    count = crowd.count
    x, y, cos, sin = (one[:count] for one in (boxes.x, boxes.y, boxes.cos, boxes.sin))
    long_x, long_y = crowd.along * cos, crowd.along * sin
    wide_x, wide_y = -crowd.across * sin, crowd.across * cos
    arm_x = np.stack([long_x + wide_x, wide_x - long_x, -long_x - wide_x, long_x - wide_x])
    arm_y = np.stack([long_y + wide_y, wide_y - long_y, -long_y - wide_y, long_y - wide_y])
    far = np.hypot(arm_x + x, arm_y + y)
    over = far + (AIM - crowd.usable + wider)
    out_x, out_y = (arm_x + x) / far, (arm_y + y) / far
    turn = arm_x * out_y - arm_y * out_x
    back = np.maximum(over, 0.0) / (1.0 + crowd.ease * turn**2)
    moves = [-(out_x * back).sum(axis=0), -(out_y * back).sum(axis=0), -crowd.ease * (turn * back).sum(axis=0)]
    return over.max(axis=0), np.stack(moves), (over > 0).sum(axis=0)
