"""Contacts between waxes, and between waxes and the paths of others, in many trial layouts at once.

Layouts of different waxes on different bases form one batch, padded to as many waxes each. Arrays have their trials
last, and sums run over waxes only, so that the other trials of a batch do not change a result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property, lru_cache
from itertools import combinations, permutations
from typing import Self

import numpy as np
from numpy.typing import NDArray

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.values.arrays import Flags, Floats

Flask = tuple[Sequence[Footprint], Base]
"""The waxes of a flask and the base they stand on."""


def padded(trials: Sequence[Floats]) -> Floats:
    """Return the trials of several flasks in one array, padded to as many waxes as the fullest flask has.

    Parameters
    ----------
    trials : sequence of array of float
        For each flask (trial, wax, figure): x [mm], y [mm], turn [radians].

    Returns
    -------
    array of float
        (figure, wax, trial), all trials one after the other; padding waxes are at the axis.
    """
    most = max(one.shape[1] for one in trials)
    rows = np.concatenate([np.pad(one, ((0, 0), (0, most - one.shape[1]), (0, 0))) for one in trials])
    return np.ascontiguousarray(rows.transpose(2, 1, 0))


class Pairs:
    """The pairs between which a clearance is asked: waxes with waxes, then paths with waxes.

    The path of wax i is numbered `count` + i. Only the first `free` waxes move: others, which stand as they are, are
    not compared with each other.
    """

    def __init__(self, count: int, free: int) -> None:
        waxes = [(one, other) for one, other in combinations(range(count), 2) if one < free]
        paths = [(count + one, other) for one, other in permutations(range(count), 2) if min(one, other) < free]
        self.only_waxes = len(waxes)
        """Number of pairs of two waxes; in the pairs after them the first is a path."""
        self.first, self.second = np.array(waxes + paths, dtype=np.intp).reshape(-1, 2).T
        self.paths = self.first[len(waxes) :]
        """Box numbers of the paths in pairs of a path and a wax."""
        self.feet = self.paths - count
        """Numbers of the waxes whose paths they are."""
        self.both_ways = np.concatenate([self.first, self.second]), np.concatenate([self.second, self.first])
        """Firsts and seconds of the pairs, then seconds and firsts."""
        members = np.concatenate([self.first % count, self.second])
        self.free = free
        self.of_wax = np.array([np.flatnonzero(members == wax) for wax in range(free)])
        """For each wax that moves the positions of it or its path among the firsts, then the seconds, of all pairs."""


@lru_cache(maxsize=64)
def pairs_of(count: int, free: int) -> Pairs:
    """Return the pairs between which a clearance is asked.

    Parameters
    ----------
    count : int
        Number of waxes.
    free : int
        How many of them move, the first ones.

    Returns
    -------
    Pairs
        Shared by all batches of as many waxes.
    """
    return Pairs(count, free)


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
class Constraints:
    """What bases ask of the waxes on them: a column for every trial, or one column for all of them.

    Half sides and usable radius (wax, trial), hub and reach (trial), clearance of each pair (pair, trial) [mm].
    """

    along: Floats
    across: Floats
    usable: Floats
    hub: Floats
    reach: Floats
    need: Floats
    pairs: Pairs
    """The pairs of the waxes and their paths."""

    @classmethod
    def of(cls, flasks: Sequence[Flask], trials: Sequence[int], free: int | None = None) -> Self:
        """The constraints of several flasks, one after the other, each repeated for its number of trials.

        Of each only the first `free` waxes move, or all of them.
        """
        most = max(len(footprints) for footprints, _ in flasks)
        pairs = pairs_of(most, most if free is None else free)
        columns = [_column(footprints, base, pairs, most) for footprints, base in flasks]
        along, across, usable, hub, reach, need = (
            np.repeat(np.stack(each, axis=-1), trials, axis=-1) for each in zip(*columns, strict=True)
        )
        return cls(along, across, usable, hub, reach, need, pairs)

    def only(self, stay: Flags) -> Constraints:
        """The constraints of some of the trials."""
        arrays = {one.name: getattr(self, one.name).compress(stay, axis=-1) for one in fields(self)[:-1]}
        return replace(self, **arrays)

    @cached_property
    def ease(self) -> Floats:
        """Inverse square of each wax's radius of gyration [1/mm2]: how easily it turns."""
        ease: Floats = 3.0 / (self.along**2 + self.across**2)
        return ease

    @cached_property
    def eases(self) -> tuple[Floats, Floats]:
        """The same for first and second of each pair; a path does not turn by itself."""
        of_first = self.ease[self.pairs.first % len(self.usable)]
        of_first[self.pairs.only_waxes :] = 0.0
        return of_first, self.ease[self.pairs.second]

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
            np.concatenate([np.broadcast_to(self.along, x.shape), half]),
            np.concatenate([np.broadcast_to(self.across, x.shape), np.zeros_like(half)]),
        ), far


def _column(footprints: Sequence[Footprint], base: Base, pairs: Pairs, count: int) -> tuple[Floats, ...]:
    """The constraints of one trial; waxes without constraints pad them to `count`."""
    more = count - len(footprints)
    asked = np.where(pairs.first < count, base.between_mm, base.clear_mm)
    real = (pairs.first % count < len(footprints)) & (pairs.second < len(footprints))
    return (
        np.array([one.width_mm / 2 for one in footprints] + [1.0] * more),
        np.array([one.depth_mm / 2 for one in footprints] + [1.0] * more),
        np.array([base.usable_mm(one) for one in footprints] + [np.inf] * more),
        np.array(base.hub_mm / 2),
        np.array(base.hub_mm / 2 + base.reach_mm),
        np.where(real, asked, -np.inf),
    )


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
        spot_x = np.minimum(np.maximum(x, -box.along), box.along)
        spot_y = np.minimum(np.maximum(y, -box.across), box.across)
        return cls(x, y, spot_x, spot_y)

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


def contacts(pairs: Pairs, boxes: Boxes) -> Contact:
    """Return the gap of every pair, and where and in which direction it is measured.

    Parameters
    ----------
    pairs : Pairs
        Pairs of box numbers.
    boxes : Boxes
        Waxes, then their paths [mm].

    Returns
    -------
    Contact
        Gaps and lever arms [mm] of each pair in each trial.
    """
    box, other = (boxes.subset(which) for which in pairs.both_ways)
    pose = RelativePose.of(box, other)
    corner, gap, way_x, way_y = _nearest(pose, box, other)
    half, paths = len(gap) // 2, pairs.only_waxes
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
