"""Many trial layouts at once, pushed apart step by step until nothing is too near.

Each trial is a row of arrays. In a step every clearance that does not hold moves and turns its
waxes just enough to mend it; the moves of one wax are averaged. Nothing here decides: a layout
counts only when `verify` accepts it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from casting.calc.footprint import Base, Footprint

Floats = NDArray[np.float64]

AIM = 0.02
"""Asked beyond each clearance while pushing [mm], so that pushing ends on the right side."""

OVER = 3.2
"""How far each averaged move is taken; tried on classes, 1 to 5: most found, in fewest steps."""

SIGNS = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]])


@dataclass(frozen=True)
class Room:
    """One base and the waxes on it as arrays; `between_mm` and `clear_mm` are what is asked."""

    half: Floats
    usable: Floats
    reach_mm: float
    hub_mm: float
    between_mm: float
    clear_mm: float
    aim_mm: float

    @classmethod
    def of(cls, footprints: Sequence[Footprint], base: Base, aim_mm: float = AIM) -> Room:
        """The room for these waxes on that base, with so much more to be asked of each clearance."""
        return cls(
            np.array([[one.width_mm / 2, one.depth_mm / 2] for one in footprints]),
            np.array([base.usable_mm(one) for one in footprints]),
            base.hub_mm / 2 + base.reach_mm,
            base.hub_mm / 2,
            base.between_mm,
            base.clear_mm,
            aim_mm,
        )

    @cached_property
    def count(self) -> int:
        """How many waxes."""
        return len(self.half)

    @cached_property
    def ease(self) -> Floats:
        """How easily each wax turns: one over the square of its radius of gyration."""
        ease: Floats = 3.0 / (self.half**2).sum(axis=1)
        return ease

    @cached_property
    def pairs(self) -> NDArray[np.intp]:
        """Waxes against waxes, then paths (numbered from `count`) against waxes."""
        waxes = list(combinations(range(self.count), 2))
        paths = [(self.count + one, other) for one, other in permutations(range(self.count), 2)]
        return np.array(waxes + paths, dtype=np.intp).T

    @cached_property
    def need(self) -> Floats:
        """The clearance of each pair."""
        waxes = self.count * (self.count - 1) // 2
        return np.where(np.arange(self.pairs.shape[1]) < waxes, self.between_mm, self.clear_mm)

    @cached_property
    def belongs(self) -> tuple[Floats, Floats]:
        """For first and second of each pair: 1 in the row of its wax."""
        rows = np.arange(self.count)[:, None]
        first, second = self.pairs % self.count
        return (rows == first).astype(float), (rows == second).astype(float)


@dataclass(frozen=True)
class Boxes:
    """Waxes and their paths to the hub, of every trial: middles, half sides, turns."""

    at: Floats
    half: Floats
    axes: Floats

    @classmethod
    def of(cls, room: Room, state: Floats) -> Boxes:
        """Waxes first, then each wax's path as a box without width."""
        feet = state[:, :, :2]
        far = np.sqrt((feet**2).sum(axis=2)) + 1e-12
        toward = feet / far[:, :, None]
        length = np.maximum(far - room.hub_mm, 0.0)
        middle = toward * (far - length / 2)[:, :, None]
        wax_axis = np.stack([np.cos(state[:, :, 2]), np.sin(state[:, :, 2])], axis=2)
        path_half = np.stack([length / 2, np.zeros_like(length)], axis=2)
        return cls(
            np.concatenate([feet, middle], axis=1),
            np.concatenate([np.broadcast_to(room.half, feet.shape), path_half], axis=1),
            np.concatenate([wax_axis, toward], axis=1),
        )

    def corners(self) -> Floats:
        """Corners from the middle of each box: trial, box, corner, xy."""
        across = np.stack([-self.axes[:, :, 1], self.axes[:, :, 0]], axis=2)
        along = SIGNS[:, 0, None] * (self.half[:, :, :1] * self.axes)[:, :, None, :]
        return along + SIGNS[:, 1, None] * (self.half[:, :, 1:] * across)[:, :, None, :]


@dataclass(frozen=True)
class Touch:
    """For each pair: gap (negative if they overlap), direction and levers of the nearest points."""

    gap: Floats
    normal: Floats
    first: Floats
    second: Floats


def _cross(one: Floats, other: Floats) -> Floats:
    return one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]


def _turned(local: Floats, axis: Floats) -> Floats:
    """From the frame of a box to the base's."""
    x, y, ax, ay = local[..., 0], local[..., 1], axis[..., 0], axis[..., 1]
    return np.stack([x * ax - y * ay, x * ay + y * ax], axis=-1)


def _at(values: Floats, index: NDArray[np.intp]) -> Floats:
    """One of the third axis for each trial and pair."""
    index = index.reshape(*index.shape, *([1] * (values.ndim - 2)))
    return np.take_along_axis(values, index, axis=2)[:, :, 0]


def _both_ways(gaps: Floats) -> tuple[Floats, Floats]:
    """First half: corners of the second against the first; second half: the other way."""
    half = gaps.shape[1] // 2
    return gaps[:, :half], gaps[:, half:]


def _touches(room: Room, boxes: Boxes, arms: Floats) -> Touch:
    """Every pair's gap, direction from first to second, and where it is measured.

    Apart, the nearest corner of one to the other decides; overlapping, the shortest way out.
    """
    one = np.concatenate(list(room.pairs))
    other = np.concatenate(list(room.pairs[::-1]))
    axis, half = boxes.axes[:, one], boxes.half[:, one][:, :, None, :]
    spots = arms[:, other] + (boxes.at[:, other] - boxes.at[:, one])[:, :, None, :]
    mirrored = axis * np.array([1.0, -1.0])
    local = _turned(spots, mirrored[:, :, None, :])
    inner = np.clip(local, -half, half)
    away_2 = ((local - inner) ** 2).sum(axis=3)
    nearest = away_2.argmin(axis=2)
    distance = np.sqrt(_at(away_2, nearest))
    sides = np.concatenate([local.min(axis=2) - half[:, :, 0], -local.max(axis=2) - half[:, :, 0]], axis=2)
    side = sides.argmax(axis=2)
    parted = _at(sides, side)
    separate = np.maximum(*_both_ways(parted))
    free = np.concatenate([separate, separate], axis=1) > 0
    way = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])[side]
    pick = np.where(free, nearest, (local * way[:, :, None, :]).sum(axis=3).argmin(axis=2))
    spot, inside = _at(local, pick), _at(inner, pick)
    way = np.where(free[:, :, None], (spot - inside) / np.maximum(distance, 1e-12)[:, :, None], way)
    normal, mine, theirs = _turned(way, axis), _turned(inside, axis), _at(arms[:, other], pick)
    measure = np.where(free, distance, -parted)
    by_first = np.less_equal(*_both_ways(measure))
    gap = np.where(separate > 0, np.minimum(*_both_ways(distance)), separate)
    count, chosen = gap.shape[1], by_first[:, :, None]
    return Touch(
        gap,
        np.where(chosen, normal[:, :count], -normal[:, count:]),
        np.where(chosen, mine[:, :count], theirs[:, count:]),
        np.where(chosen, theirs[:, :count], mine[:, count:]),
    )


@dataclass(frozen=True)
class Push:
    """What one step would do: the averaged move of each wax, and how much is amiss in each trial."""

    move: Floats
    worst: Floats
    total: Floats


def _pair_moves(room: Room, boxes: Boxes, touch: Touch, lack: Floats) -> tuple[Floats, Floats]:
    """Moves of first and second of each pair; a path turns about the axis with its wax's foot."""
    first, second = room.pairs
    waxes = room.count * (room.count - 1) // 2
    turn_1 = _cross(touch.first, touch.normal)
    push_1 = touch.normal.copy()
    toward = boxes.axes[:, first[waxes:]]
    sideways = np.stack([-toward[..., 1], toward[..., 0]], axis=2)
    point = boxes.at[:, first[waxes:]] + touch.first[:, waxes:]
    foot = boxes.at[:, first[waxes:] - room.count]
    share = np.sqrt((point**2).sum(axis=2) / np.maximum((foot**2).sum(axis=2), 1e-12))
    share *= (sideways * touch.normal[:, waxes:]).sum(axis=2)
    push_1[:, waxes:] = share[:, :, None] * sideways
    turn_1[:, waxes:] = 0.0
    turn_2 = _cross(touch.second, touch.normal)
    ease_1, ease_2 = room.ease[first % room.count], room.ease[second]
    weight = (push_1**2).sum(axis=2) + ease_1 * turn_1**2 + 1.0 + ease_2 * turn_2**2
    scale = (lack / weight)[:, :, None]
    move_1 = np.concatenate([-push_1, (-ease_1 * turn_1)[:, :, None]], axis=2) * scale
    move_2 = np.concatenate([touch.normal, (ease_2 * turn_2)[:, :, None]], axis=2) * scale
    return move_1, move_2


def _wall_moves(room: Room, boxes: Boxes, arms: Floats) -> tuple[Floats, Floats]:
    """How far each corner is over the usable circle, and the moves that bring it back."""
    arms = arms[:, : room.count]
    spots = arms + boxes.at[:, : room.count, None, :]
    far = np.sqrt((spots**2).sum(axis=3))
    over = np.maximum(far + room.aim_mm - room.usable[:, None], 0.0)
    outward = spots / np.maximum(far, 1e-12)[..., None]
    turn = _cross(arms, outward)
    ease = room.ease[:, None]
    scale = (over / (1.0 + ease * turn**2))[..., None]
    return over, -np.concatenate([outward, (ease * turn)[..., None]], axis=3) * scale


def push(room: Room, state: Floats) -> Push:
    """Work out one step for every trial.

    Parameters
    ----------
    room : Room
        The base and its waxes.
    state : array of float
        Trial, wax, and x [mm], y [mm], turn [radians].

    Returns
    -------
    Push
        The moves, and the largest lack and the sum of lacks, each measured `aim_mm` beyond what is asked.
    """
    boxes = Boxes.of(room, state)
    arms = boxes.corners()
    touch = _touches(room, boxes, arms)
    lack = np.maximum(room.need + room.aim_mm - touch.gap, 0.0)
    first = room.pairs[0]
    lack[boxes.half[:, first, 0] <= 0] = 0.0
    move_1, move_2 = _pair_moves(room, boxes, touch, lack)
    by_1, by_2 = room.belongs
    over, back = _wall_moves(room, boxes, arms)
    feet = state[:, :, :2]
    far = np.sqrt((feet**2).sum(axis=2))
    beyond = np.maximum(far + room.aim_mm - room.reach_mm, 0.0)
    home = np.zeros_like(state)
    home[:, :, :2] = -feet * (beyond / np.maximum(far, 1e-12))[:, :, None]
    moves = by_1 @ move_1 + by_2 @ move_2 + back.sum(axis=2) + home
    counts = (lack > 0) @ (by_1 + by_2).T + (over > 0).sum(axis=2) + (beyond > 0)
    return Push(
        OVER * moves / np.maximum(counts, 1.0)[:, :, None],
        np.maximum.reduce([lack.max(axis=1), over.max(axis=(1, 2)), beyond.max(axis=1)]),
        lack.sum(axis=1) + over.sum(axis=(1, 2)) + beyond.sum(axis=1),
    )
