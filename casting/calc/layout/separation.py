"""Removes overlaps from many trial layouts at once, by averaged projection of violated constraints.

Each trial is a row of arrays. In a step every clearance that does not hold moves and turns its
waxes just enough to restore it; the moves of one wax are averaged. Nothing here decides: a layout
counts only when `verify` accepts it. Points and directions in the plane are complex numbers, x + iy.
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
"""Asked beyond each clearance [mm], so that the steps end on the right side of it."""

OVER = 3.2
"""Over-relaxation of the averaged moves. Of 1 to 5, tried on class days, it finds most layouts in fewest steps."""

CORNERS = ((1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0))


@dataclass(frozen=True)
class Constraints:
    """What a base asks of the waxes on it, as arrays: a row for every trial, or one row for all of them.

    `half`: trial, wax, half sides; `usable`: trial, wax; `reach`, `hub`: trial, 1; `need`: trial, pair [mm].
    """

    half: Floats
    usable: Floats
    reach: Floats
    hub: Floats
    need: Floats
    aim_mm: float

    @classmethod
    def of(cls, footprints: Sequence[Footprint], base: Base, aim_mm: float = AIM, count: int = 0) -> Constraints:
        """The constraints of these waxes on that base, `aim_mm` beyond each clearance.

        Waxes without constraints pad them to `count`.
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
    def of_flasks(cls, flasks: Sequence[tuple[Sequence[Footprint], Base]], trials: Sequence[int]) -> Constraints:
        """The constraints of several flasks, one after the other, each repeated for its number of trials."""
        most = max(len(footprints) for footprints, _ in flasks)
        parts = [cls.of(footprints, base, count=most) for footprints, base in flasks]

        def each(of: Sequence[Floats]) -> Floats:
            return np.repeat(np.concatenate(of), trials, axis=0)

        return cls(
            each([part.half for part in parts]),
            each([part.usable for part in parts]),
            each([part.reach for part in parts]),
            each([part.hub for part in parts]),
            each([part.need for part in parts]),
            parts[0].aim_mm,
        )

    def only(self, stay: NDArray[np.bool_]) -> Constraints:
        """The constraints of some of the trials."""
        return Constraints(
            self.half[stay], self.usable[stay], self.reach[stay], self.hub[stay], self.need[stay], self.aim_mm
        )

    @cached_property
    def count(self) -> int:
        """Number of waxes in each trial."""
        return len(self.half[0])

    @cached_property
    def ease(self) -> Floats:
        """Inverse square of each wax's radius of gyration [1/mm2]: how easily it turns."""
        ease: Floats = 3.0 / (self.half**2).sum(axis=2)
        return ease

    @cached_property
    def pairs(self) -> NDArray[np.intp]:
        """Waxes against waxes, then paths (numbered from `count`) against waxes."""
        return pairs_of(self.count)

    @cached_property
    def both_ways(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Firsts and seconds of the pairs, then seconds and firsts."""
        first, second = self.pairs
        return np.concatenate([first, second]), np.concatenate([second, first])

    @cached_property
    def belongs(self) -> tuple[Floats, Floats]:
        """For first and second of each pair: 1 in the column of its wax."""
        waxes = np.arange(self.count)
        first, second = self.pairs[:, :, None] % self.count
        return (waxes == first).astype(float), (waxes == second).astype(float)


def padded(trials: Sequence[Floats]) -> Floats:
    """Return the trials of several flasks in one array, padded to as many waxes as the fullest flask has.

    Parameters
    ----------
    trials : sequence of array of float
        For each flask (trial, wax, figure): x [mm], y [mm], turn [radians].

    Returns
    -------
    array of float
        All trials one after the other; padding waxes are at the axis.
    """
    most = max(one.shape[1] for one in trials)
    return np.concatenate([np.pad(one, ((0, 0), (0, most - one.shape[1]), (0, 0))) for one in trials])


def pairs_of(count: int) -> NDArray[np.intp]:
    """Return the pairs between which a clearance is asked: waxes with waxes, then paths with waxes.

    Parameters
    ----------
    count : int
        Number of waxes.

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
    """Waxes and their paths to the hub, of every trial: centres, half sides along and across, directions."""

    at: Spots
    along: Floats
    across: Floats
    axes: Spots

    @classmethod
    def of(cls, constraints: Constraints, state: Floats) -> Boxes:
        """Waxes first, then the path of each wax as a box of no width."""
        feet = state[:, :, 0] + 1j * state[:, :, 1]
        far = np.abs(feet) + 1e-12
        toward = feet / far
        length = np.maximum(far - constraints.hub, 0.0)
        along, across = (np.broadcast_to(constraints.half[:, :, side], far.shape) for side in (0, 1))
        return cls(
            np.concatenate([feet, toward * (far - length / 2)], axis=1),
            np.concatenate([along, length / 2], axis=1),
            np.concatenate([across, np.zeros_like(length)], axis=1),
            np.concatenate([np.cos(state[:, :, 2]) + 1j * np.sin(state[:, :, 2]), toward], axis=1),
        )

    def corners(self) -> Spots:
        """Corners relative to the centre of each box (corner, trial, box) [mm]."""
        return np.stack([(one * self.along + 1j * other * self.across) * self.axes for one, other in CORNERS])


@dataclass(frozen=True)
class Contact:
    """For each pair: gap (negative in an overlap) [mm], direction, and lever arms of the nearest points."""

    gap: Floats
    normal: Spots
    first: Spots
    second: Spots


def _cross(one: Spots, other: Spots) -> Floats:
    return one.real * other.imag - one.imag * other.real


def _dot(one: Spots, other: Spots) -> Floats:
    return one.real * other.real + one.imag * other.imag


def _of_least(keys: Floats, *values: Spots) -> list[Spots]:
    """Of four entries along the first axis, the values at the least key, at the first of equal ones."""
    least = keys.min(axis=0)
    is_0, is_1, is_2 = (keys[nth] == least for nth in range(3))
    return [np.where(is_0, v[0], np.where(is_1, v[1], np.where(is_2, v[2], v[3]))) for v in values]


def _halves(gaps: Floats) -> tuple[Floats, Floats]:
    """Corners of the second box against the first, and corners of the first against the second."""
    half = gaps.shape[1] // 2
    return gaps[:, :half], gaps[:, half:]


def _contacts(constraints: Constraints, boxes: Boxes, arms: Spots) -> Contact:
    """The gap of every pair, its direction from first to second, and where it is measured.

    Where two are apart, the nearest corner decides; where they overlap, the shortest way out.
    """
    one, other = constraints.both_ways
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
    separate = np.maximum(*_halves(parted))
    free = np.concatenate([separate, separate], axis=1) > 0
    way = (spot - inside) / np.maximum(distance, 1e-12)
    if not free.all():
        ways = np.broadcast_to(np.array([1, 1j, -1, -1j])[:, None, None], sides.shape)
        (out,) = _of_least(-sides, ways)
        inside_out, lever_out = _of_least(_dot(local, out), inner, theirs)
        way, inside = np.where(free, way, out), np.where(free, inside, inside_out)
        lever = np.where(free, lever, lever_out)
    normal, mine = way * axis, inside * axis
    by_first = np.less_equal(*_halves(np.where(free, distance, -parted)))
    gap = np.where(separate > 0, np.minimum(*_halves(distance)), separate)
    count = gap.shape[1]
    return Contact(
        gap,
        np.where(by_first, normal[:, :count], -normal[:, count:]),
        np.where(by_first, mine[:, :count], lever[:, count:]),
        np.where(by_first, lever[:, :count], mine[:, count:]),
    )


@dataclass(frozen=True)
class Correction:
    """One step: the averaged move of each wax, and the largest and the total violation of each trial [mm]."""

    move: Floats
    worst: Floats
    total: Floats


def _parts(push: Spots, turn: Floats) -> Floats:
    """Moves stacked along a first axis: x, y, turn."""
    return np.stack([push.real, push.imag, turn])


def _pair_moves(constraints: Constraints, boxes: Boxes, contact: Contact, lack: Floats) -> tuple[Floats, Floats]:
    """Moves of first and second of each pair; a path turns about the axis with the foot of its wax."""
    first, second = constraints.pairs
    waxes = constraints.count * (constraints.count - 1) // 2
    turn_1, turn_2 = _cross(contact.first, contact.normal), _cross(contact.second, contact.normal)
    push_1 = contact.normal.copy()
    sideways = 1j * boxes.axes[:, first[waxes:]]
    point = boxes.at[:, first[waxes:]] + contact.first[:, waxes:]
    foot = boxes.at[:, first[waxes:] - constraints.count]
    share = np.sqrt(_dot(point, point) / np.maximum(_dot(foot, foot), 1e-12))
    push_1[:, waxes:] = share * _dot(sideways, contact.normal[:, waxes:]) * sideways
    turn_1[:, waxes:] = 0.0
    ease_1, ease_2 = constraints.ease[:, first % constraints.count], constraints.ease[:, second]
    scale = lack / (_dot(push_1, push_1) + ease_1 * turn_1**2 + 1.0 + ease_2 * turn_2**2)
    return _parts(-push_1, -ease_1 * turn_1) * scale, _parts(contact.normal, ease_2 * turn_2) * scale


def _wall_moves(constraints: Constraints, boxes: Boxes, arms: Spots) -> tuple[Floats, Floats]:
    """How far each corner reaches beyond the usable circle, and the moves that bring it back."""
    arms = arms[:, :, : constraints.count]
    spots = arms + boxes.at[:, : constraints.count]
    far = np.abs(spots)
    over = np.maximum(far + (constraints.aim_mm - constraints.usable), 0.0)
    outward = spots / np.maximum(far, 1e-12)
    turn = _cross(arms, outward)
    back = _parts(-outward, -constraints.ease * turn) * (over / (1.0 + constraints.ease * turn**2))
    return over, back.sum(axis=1)


def push(constraints: Constraints, state: Floats) -> Correction:
    """Return one separation step of every trial.

    Parameters
    ----------
    constraints : Constraints
        The constraints of the waxes on their base.
    state : array of float
        Trial, wax, and x [mm], y [mm], turn [radians].

    Returns
    -------
    Correction
        The moves, the largest violation and their sum, each measured `aim_mm` beyond the clearance asked.
    """
    boxes = Boxes.of(constraints, state)
    arms = boxes.corners()
    contact = _contacts(constraints, boxes, arms)
    lack = np.maximum(constraints.need + constraints.aim_mm - contact.gap, 0.0)
    lack[boxes.along[:, constraints.pairs[0]] <= 0] = 0.0
    move_1, move_2 = _pair_moves(constraints, boxes, contact, lack)
    by_1, by_2 = constraints.belongs
    over, back = _wall_moves(constraints, boxes, arms)
    feet = boxes.at[:, : constraints.count]
    far = np.abs(feet)
    beyond = np.maximum(far + constraints.aim_mm - constraints.reach, 0.0)
    moves = move_1 @ by_1 + move_2 @ by_2 + back
    home = feet * (beyond / np.maximum(far, 1e-12))
    moves[0] -= home.real
    moves[1] -= home.imag
    counts = (lack > 0) @ (by_1 + by_2) + (over > 0).sum(axis=0) + (beyond > 0)
    return Correction(
        np.moveaxis(OVER * moves / np.maximum(counts, 1.0), 0, 2),
        np.maximum.reduce([lack.max(axis=1), over.max(axis=(0, 2)), beyond.max(axis=1)]),
        lack.sum(axis=1) + over.sum(axis=(0, 2)) + beyond.sum(axis=1),
    )
