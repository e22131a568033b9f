"""Many trial layouts at once, pushed apart step by step until nothing is too near.

Each trial is a row of arrays. In a step every clearance that does not hold moves and turns its
waxes just enough to mend it; the moves of one wax are averaged. Nothing here decides: a layout
counts only when `verify` accepts it. Spots and directions in the plane are complex numbers, x + iy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.values.arrays import Floats

Spots = NDArray[np.complex128]

AIM = 0.02
"""Asked beyond each clearance while pushing [mm], so that pushing ends on the right side."""

OVER = 3.2
"""How far each averaged move is taken; tried on classes, 1 to 5: most found, in fewest steps."""

CORNERS = ((1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0))


@dataclass(frozen=True)
class Room:
    """A base and the waxes on it as arrays, of every trial or of one for all trials.

    `half`: trial, wax, half sides; `usable`: trial, wax; `reach`, `hub`: trial, 1; `need`: trial, pair [mm].
    """

    half: Floats
    usable: Floats
    reach: Floats
    hub: Floats
    need: Floats
    aim_mm: float

    @classmethod
    def of(cls, footprints: Sequence[Footprint], base: Base, aim_mm: float = AIM, count: int = 0) -> Room:
        """The room for these waxes on that base, with so much more to be asked of each clearance.

        If a greater count is given, waxes that nothing is asked of stand in for the others.
        """
        count = max(count, len(footprints))
        more = count - len(footprints)
        sides = [(one.width_mm / 2, one.depth_mm / 2) for one in footprints] + [(1.0, 1.0)] * more
        usable = [base.usable_mm(one) for one in footprints] + [np.inf] * more
        first, second = pairs_of(count)
        asked = np.where(first < count, base.between_mm, base.clear_mm)
        real = (first % count < len(footprints)) & (second < len(footprints))
        return cls(
            np.array([sides]),
            np.array([usable]),
            np.array([[base.hub_mm / 2 + base.reach_mm]]),
            np.array([[base.hub_mm / 2]]),
            np.where(real, asked, -np.inf)[None],
            aim_mm,
        )

    @classmethod
    def beside(cls, flasks: Sequence[tuple[Sequence[Footprint], Base]], trials: Sequence[int]) -> Room:
        """The rooms of several flasks, one after the other, each for so many trials, as `padded` pads these."""
        most = max(len(footprints) for footprints, _ in flasks)
        rooms = [cls.of(footprints, base, count=most) for footprints, base in flasks]

        def each(of: Sequence[Floats]) -> Floats:
            return np.repeat(np.concatenate(of), trials, axis=0)

        return cls(
            each([room.half for room in rooms]),
            each([room.usable for room in rooms]),
            each([room.reach for room in rooms]),
            each([room.hub for room in rooms]),
            each([room.need for room in rooms]),
            rooms[0].aim_mm,
        )

    def only(self, stay: NDArray[np.bool_]) -> Room:
        """The room of some of its trials."""
        return Room(self.half[stay], self.usable[stay], self.reach[stay], self.hub[stay], self.need[stay], self.aim_mm)

    @cached_property
    def count(self) -> int:
        """How many waxes."""
        return len(self.half[0])

    @cached_property
    def ease(self) -> Floats:
        """How easily each wax turns: one over the square of its radius of gyration."""
        ease: Floats = 3.0 / (self.half**2).sum(axis=2)
        return ease

    @cached_property
    def pairs(self) -> NDArray[np.intp]:
        """Waxes against waxes, then paths (numbered from `count`) against waxes."""
        return pairs_of(self.count)

    @cached_property
    def both_ways(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Pairs, then pairs the other way round."""
        first, second = self.pairs
        return np.concatenate([first, second]), np.concatenate([second, first])

    @cached_property
    def belongs(self) -> tuple[Floats, Floats]:
        """For first and second of each pair: 1 in the column of its wax."""
        waxes = np.arange(self.count)
        first, second = self.pairs[:, :, None] % self.count
        return (waxes == first).astype(float), (waxes == second).astype(float)


def padded(trials: Sequence[Floats]) -> Floats:
    """Return trials of several flasks as one, each with as many waxes as the fullest.

    Parameters
    ----------
    trials : sequence of array of float
        For each flask trial, wax, and x, y, turn.

    Returns
    -------
    array of float
        All trials one after the other; waxes that make up the number are at the axis.
    """
    most = max(one.shape[1] for one in trials)
    return np.concatenate([np.pad(one, ((0, 0), (0, most - one.shape[1]), (0, 0))) for one in trials])


def pairs_of(count: int) -> NDArray[np.intp]:
    """Return waxes against waxes, then paths against waxes.

    Parameters
    ----------
    count : int
        How many waxes.

    Returns
    -------
    array of int
        Firsts and seconds; the path of wax i is numbered `count` + i.
    """
    waxes = list(combinations(range(count), 2))
    paths = [(count + one, other) for one, other in permutations(range(count), 2)]
    return np.array(waxes + paths, dtype=np.intp).T


@dataclass(frozen=True)
class Boxes:
    """Waxes and their paths to the hub, of every trial: middles, half sides along and across, directions."""

    at: Spots
    along: Floats
    across: Floats
    axes: Spots

    @classmethod
    def of(cls, room: Room, state: Floats) -> Boxes:
        """Waxes first, then each wax's path as a box without width."""
        feet = state[:, :, 0] + 1j * state[:, :, 1]
        far = np.abs(feet) + 1e-12
        toward = feet / far
        length = np.maximum(far - room.hub, 0.0)
        along, across = (np.broadcast_to(room.half[:, :, side], far.shape) for side in (0, 1))
        return cls(
            np.concatenate([feet, toward * (far - length / 2)], axis=1),
            np.concatenate([along, length / 2], axis=1),
            np.concatenate([across, np.zeros_like(length)], axis=1),
            np.concatenate([np.cos(state[:, :, 2]) + 1j * np.sin(state[:, :, 2]), toward], axis=1),
        )

    def corners(self) -> Spots:
        """Corners from the middle of each box: corner, trial, box."""
        return np.stack([(one * self.along + 1j * other * self.across) * self.axes for one, other in CORNERS])


@dataclass(frozen=True)
class Touch:
    """For each pair: gap (negative if they overlap), direction and levers of the nearest points."""

    gap: Floats
    normal: Spots
    first: Spots
    second: Spots


def _cross(one: Spots, other: Spots) -> Floats:
    return one.real * other.imag - one.imag * other.real


def _dot(one: Spots, other: Spots) -> Floats:
    return one.real * other.real + one.imag * other.imag


def _of_least(keys: Floats, *values: Spots) -> list[Spots]:
    """Of four along the first axis, the values at the least key; at the first such of equals."""
    least = keys.min(axis=0)
    is_0, is_1, is_2 = (keys[nth] == least for nth in range(3))
    return [np.where(is_0, v[0], np.where(is_1, v[1], np.where(is_2, v[2], v[3]))) for v in values]


def _both_ways(gaps: Floats) -> tuple[Floats, Floats]:
    """First half: corners of the second against the first; second half: the other way."""
    half = gaps.shape[1] // 2
    return gaps[:, :half], gaps[:, half:]


def _touches(room: Room, boxes: Boxes, arms: Spots) -> Touch:
    """Every pair's gap, direction from first to second, and where it is measured.

    Apart, the nearest corner of one to the other decides; overlapping, the shortest way out.
    """
    one, other = room.both_ways
    axis, along, across = boxes.axes[:, one], boxes.along[:, one], boxes.across[:, one]
    theirs = arms[:, :, other]
    local = (theirs + (boxes.at[:, other] - boxes.at[:, one])) * axis.conj()
    x, y = local.real.copy(), local.imag.copy()
    inner = np.clip(x, -along, along) + 1j * np.clip(y, -across, across)
    away = local - inner
    away_2 = _dot(away, away)
    distance = np.sqrt(away_2.min(axis=0))
    spot, inside, lever = _of_least(away_2, local, inner, theirs)
    sides = np.stack([x.min(axis=0) - along, y.min(axis=0) - across, -x.max(axis=0) - along, -y.max(axis=0) - across])
    parted = sides.max(axis=0)
    separate = np.maximum(*_both_ways(parted))
    free = np.concatenate([separate, separate], axis=1) > 0
    way = (spot - inside) / np.maximum(distance, 1e-12)
    if not free.all():
        ways = np.broadcast_to(np.array([1, 1j, -1, -1j])[:, None, None], sides.shape)
        (out,) = _of_least(-sides, ways)
        inside_out, lever_out = _of_least(_dot(local, out), inner, theirs)
        way, inside = np.where(free, way, out), np.where(free, inside, inside_out)
        lever = np.where(free, lever, lever_out)
    normal, mine = way * axis, inside * axis
    by_first = np.less_equal(*_both_ways(np.where(free, distance, -parted)))
    gap = np.where(separate > 0, np.minimum(*_both_ways(distance)), separate)
    count = gap.shape[1]
    return Touch(
        gap,
        np.where(by_first, normal[:, :count], -normal[:, count:]),
        np.where(by_first, mine[:, :count], lever[:, count:]),
        np.where(by_first, lever[:, :count], mine[:, count:]),
    )


@dataclass(frozen=True)
class Push:
    """What one step would do: the averaged move of each wax, and how much is amiss in each trial."""

    move: Floats
    worst: Floats
    total: Floats


def _parts(push: Spots, turn: Floats) -> Floats:
    """Moves as x, y and turn, one after the other along a first axis."""
    return np.stack([push.real, push.imag, turn])


def _pair_moves(room: Room, boxes: Boxes, touch: Touch, lack: Floats) -> tuple[Floats, Floats]:
    """Moves of first and second of each pair; a path turns about the axis with its wax's foot."""
    first, second = room.pairs
    waxes = room.count * (room.count - 1) // 2
    turn_1, turn_2 = _cross(touch.first, touch.normal), _cross(touch.second, touch.normal)
    push_1 = touch.normal.copy()
    sideways = 1j * boxes.axes[:, first[waxes:]]
    point = boxes.at[:, first[waxes:]] + touch.first[:, waxes:]
    foot = boxes.at[:, first[waxes:] - room.count]
    share = np.sqrt(_dot(point, point) / np.maximum(_dot(foot, foot), 1e-12))
    push_1[:, waxes:] = share * _dot(sideways, touch.normal[:, waxes:]) * sideways
    turn_1[:, waxes:] = 0.0
    ease_1, ease_2 = room.ease[:, first % room.count], room.ease[:, second]
    scale = lack / (_dot(push_1, push_1) + ease_1 * turn_1**2 + 1.0 + ease_2 * turn_2**2)
    return _parts(-push_1, -ease_1 * turn_1) * scale, _parts(touch.normal, ease_2 * turn_2) * scale


def _wall_moves(room: Room, boxes: Boxes, arms: Spots) -> tuple[Floats, Floats]:
    """How far each corner is over the usable circle, and the moves that bring it back."""
    arms = arms[:, :, : room.count]
    spots = arms + boxes.at[:, : room.count]
    far = np.abs(spots)
    over = np.maximum(far + (room.aim_mm - room.usable), 0.0)
    outward = spots / np.maximum(far, 1e-12)
    turn = _cross(arms, outward)
    back = _parts(-outward, -room.ease * turn) * (over / (1.0 + room.ease * turn**2))
    return over, back.sum(axis=1)


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
        The moves, the largest lack and the sum of lacks, each measured `aim_mm` beyond what is asked.
    """
    boxes = Boxes.of(room, state)
    arms = boxes.corners()
    touch = _touches(room, boxes, arms)
    lack = np.maximum(room.need + room.aim_mm - touch.gap, 0.0)
    lack[boxes.along[:, room.pairs[0]] <= 0] = 0.0
    move_1, move_2 = _pair_moves(room, boxes, touch, lack)
    by_1, by_2 = room.belongs
    over, back = _wall_moves(room, boxes, arms)
    feet = boxes.at[:, : room.count]
    far = np.abs(feet)
    beyond = np.maximum(far + room.aim_mm - room.reach, 0.0)
    moves = move_1 @ by_1 + move_2 @ by_2 + back
    home = feet * (beyond / np.maximum(far, 1e-12))
    moves[0] -= home.real
    moves[1] -= home.imag
    counts = (lack > 0) @ (by_1 + by_2) + (over > 0).sum(axis=0) + (beyond > 0)
    return Push(
        np.moveaxis(OVER * moves / np.maximum(counts, 1.0), 0, 2),
        np.maximum.reduce([lack.max(axis=1), over.max(axis=(0, 2)), beyond.max(axis=1)]),
        lack.sum(axis=1) + over.sum(axis=(0, 2)) + beyond.sum(axis=1),
    )
