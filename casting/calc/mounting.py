"""Waxes that are to share a flask, stood as a caster would mount them: even, and easy to tell apart afterwards."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from casting.calc.footprint import Base, Footprint, corners, gaps
from casting.calc.placing import printed
from casting.calc.result import Place
from casting.calc.settling import AIM, Floats, Room, push
from casting.calc.verify import faults

FIRST, FINEST, FEW_STEPS, STEPS, MORE_STEPS = 10.0, 0.03, 30, 60, 200
"""How much more than it has a layout is asked for, at first and at the end [mm], and in how many pushes: a few for a
first answer.

Of 54 flasks of invented days 12 were left with less than 0.8 of the widest margin of a search ten times as long
after 60 pushes, 4 after 60 and, where the margin was tight, 200 more.
"""

TIGHT_MM = 2.0
"""A margin under this is sought for longer."""

AT_ONCE = 8
"""Flasks that are pushed beside one another."""

Measured = tuple[float, tuple[Place, ...]]
"""A margin [mm] and the layout that has it."""

MOST = 0.85
"""Share of the widest margin found for a set that any other layout must keep to be preferred."""

ALIKE_MM, ALIKE_SHARE = 2.0, 0.15
"""Waxes look alike if both sides differ by no more than this, and their metal by no more than that share."""


@dataclass(frozen=True, slots=True)
class Worn:
    """A wax as it is to be told apart: its outline, whose it is (blank: nobody's) and its metal [g]."""

    footprint: Footprint
    student: str = ""
    metal_g: float = 0.0

    def own(self, other: Worn) -> bool:
        """True if both are one student's."""
        return bool(self.student) and self.student == other.student

    def mistaken(self, other: Worn) -> bool:
        """True if they look alike and are not one student's."""
        mine, theirs = self.footprint, other.footprint
        return (
            not self.own(other)
            and abs(mine.half_long_mm - theirs.half_long_mm) <= ALIKE_MM / 2
            and abs(mine.half_short_mm - theirs.half_short_mm) <= ALIKE_MM / 2
            and abs(self.metal_g - other.metal_g) <= ALIKE_SHARE * max(self.metal_g, other.metal_g)
        )


def margin_mm(footprints: Sequence[Footprint], places: Sequence[Place], base: Base) -> float:
    """Return by how much a layout is wider than it must be, at its narrowest.

    Parameters
    ----------
    footprints, places : sequence
        The waxes of one flask and where they stand.
    base : Base
        The base they stand on.

    Returns
    -------
    float
        The least of the gaps less `between_mm` and of the walls less each wax's own [mm].

    Examples
    --------
    >>> margin_mm([Footprint(20, 6, 6.5)] * 2, [Place(0, 7, 0), Place(0, -7, 0)], Base(63.5, 24, 6, 7, 3))
    2.0
    """
    between, _ = gaps(footprints, places, base)
    walls = (
        base.usable_mm(wax) - math.hypot(*corner)
        for wax, place in zip(footprints, places, strict=True)
        for corner in corners(wax, place)
    )
    return min(*walls, math.inf if between is None else between - base.between_mm)


def untidiness_mm(waxes: Sequence[Worn], feet: Sequence[tuple[float, float]]) -> float:
    """Return how far feet are from how a caster would set them; less is better.

    Parameters
    ----------
    waxes : sequence of Worn
        The waxes of one flask.
    feet : sequence of (float, float)
        Where they stand [mm].

    Returns
    -------
    float
        How far their middle is off the axis, and the mean distance of one student's own waxes, less
        the mean distance of the waxes of two students that look alike [mm].
    """
    own, alike = [], []
    for (one, at), (other, there) in combinations(zip(waxes, feet, strict=True), 2):
        if one.own(other):
            own.append(math.dist(at, there))
        elif one.mistaken(other):
            alike.append(math.dist(at, there))
    off_axis = math.hypot(sum(x for x, _ in feet), sum(y for _, y in feet)) / len(feet)
    return off_axis + sum(own) / max(len(own), 1) - sum(alike) / max(len(alike), 1)


@dataclass(frozen=True, slots=True)
class Stood:
    """The waxes of one flask, in an order that is always the same, where they stand, and on what base."""

    waxes: tuple[Worn, ...]
    places: tuple[Place, ...]
    base: Base

    @property
    def footprints(self) -> list[Footprint]:
        """The waxes from above."""
        return [wax.footprint for wax in self.waxes]


def as_mounted(flasks: Sequence[Stood], *, longer: bool = True) -> list[tuple[Place, ...]]:
    """Return layouts as a caster would leave them, for flasks whose waxes are settled.

    Parameters
    ----------
    flasks : sequence of Stood
        Flasks whose places `verify.faults` accepted.
    longer : bool
        Whether a wider margin is sought for longer, and once more where it is tight.

    Returns
    -------
    list of tuple of Place
        For each flask accepted places: of the layouts found with at least MOST of the widest margin
        found, the tidiest. Those given, if none is wider.
    """
    found = [[_measured(flask, flask.places)] for flask in flasks]
    starts = {nth: _starts(flask) for nth, flask in enumerate(flasks) if len(flask.waxes) > 1}
    for steps, under_mm in ((STEPS, math.inf), (MORE_STEPS, TIGHT_MM)) if longer else ((FEW_STEPS, math.inf),):
        tight = [nth for nth in starts if max(margin for margin, _ in found[nth]) <= under_mm]
        for some in _alike(tight, flasks):
            wider = _widened([flasks[nth] for nth in some], [starts[nth] for nth in some], steps)
            for nth, layouts in zip(some, wider, strict=True):
                found[nth] += [_measured(flasks[nth], layout) for layout in layouts]
    return [_tidiest(flask, layouts) for flask, layouts in zip(flasks, found, strict=True)]


def _measured(flask: Stood, places: tuple[Place, ...]) -> Measured:
    return margin_mm(flask.footprints, places, flask.base) if len(places) > 1 else math.inf, places


def _alike(flasks: Sequence[int], of: Sequence[Stood]) -> Iterator[list[int]]:
    """Flasks a few at a time, those with about as many waxes together."""
    order = sorted(flasks, key=lambda nth: len(of[nth].waxes))
    for start in range(0, len(order), AT_ONCE):
        yield order[start : start + AT_ONCE]


def _tidiest(flask: Stood, found: list[Measured]) -> tuple[Place, ...]:
    """Of measured layouts the tidiest with margin enough that is accepted; the first given was."""
    while True:
        widest_mm = max(margin for margin, _ in found)  # may be just below nothing: the verifier's 0.001 mm
        least_mm = min(MOST * widest_mm, widest_mm) - 1e-9
        best = min(
            (one for one in found if one[0] >= least_mm),
            key=lambda one: (round(_untidy(flask.waxes, one[1]), 3), -round(one[0], 3)),
        )
        if len(found) == 1 or not faults(flask.footprints, best[1], flask.base):
            return best[1]
        found.remove(best)


def _untidy(waxes: Sequence[Worn], places: Sequence[Place]) -> float:
    return untidiness_mm(waxes, [(place.x_mm, place.y_mm) for place in places])


def _starts(flask: Stood) -> Floats:
    """The seats given, and rings along and across; each as it is and with the waxes' seats changed."""
    given = np.array([(at.x_mm, at.y_mm, math.radians(at.turn_deg)) for at in flask.places])
    seats = [given, *(_ring(flask.footprints, flask.base, across) for across in (False, True))]
    return np.array([*seats, *(_reseated(flask.waxes, one) for one in seats)])


def _ring(footprints: Sequence[Footprint], base: Base, across: bool) -> Floats:
    """Feet evenly round the axis, each wax with a share of the round by its side there."""
    sides = [one.half_long_mm if across else one.half_short_mm for one in footprints]
    shares = np.array(sides) * 2 + base.between_mm
    angles = (np.cumsum(shares) - shares[0] / 2 - shares / 2) / shares.sum() * math.tau + math.pi / 2
    wide = np.array([one.width_mm >= one.depth_mm for one in footprints])
    turns = angles + np.where(wide == across, math.pi / 2, 0.0)
    far = base.hub_mm / 2 + base.reach_mm / 2
    return np.stack([far * np.cos(angles), far * np.sin(angles), turns], axis=1)


def _reseated(waxes: Sequence[Worn], seats: Floats) -> Floats:
    """The waxes on the same seats, two of them changing places while that is tidier."""
    order = list(range(len(waxes)))

    def untidy(order: Sequence[int]) -> float:
        return untidiness_mm(waxes, [(seats[i, 0], seats[i, 1]) for i in order])

    while True:
        swaps = []
        for one, other in combinations(range(len(waxes)), 2):
            swap = order.copy()
            swap[one], swap[other] = order[other], order[one]
            swaps.append((round(untidy(swap), 6), swap))
        best, swap = min(swaps)
        if best >= round(untidy(order), 6):
            break
        order = swap
    moved: Floats = seats[order].copy()
    moved[:, 2] += [_lying(waxes[i].footprint) - _lying(waxes[j].footprint) for i, j in enumerate(order)]
    return moved


def _lying(footprint: Footprint) -> float:
    """A quarter turn for a wax deeper than wide, so that long sides change places with long sides."""
    return math.pi / 2 if footprint.depth_mm > footprint.width_mm else 0.0


def _widened(flasks: Sequence[Stood], starts: Sequence[Floats], steps: int) -> list[list[tuple[Place, ...]]]:
    """The widest layout that each start comes to, asked at every push for a little more than it has.

    Flasks are pushed beside one another: a push of many costs little more than a push of one.
    """
    most = max(len(flask.waxes) for flask in flasks)
    room = Room.beside(
        [Room.of(flask.footprints, flask.base, count=most) for flask in flasks], [len(one) for one in starts]
    )
    state = np.concatenate([np.pad(one, ((0, 0), (0, most - one.shape[1]), (0, 0))) for one in starts])
    wider, widest, best = np.zeros(len(state)), np.full(len(state), -math.inf), state.copy()
    for more_mm in np.geomspace(FIRST, FINEST, steps):
        done = push(room, state, wider)
        has = wider + AIM - done.worst
        better = (has > widest) & (done.unwidened <= AIM)
        widest[better], best[better] = has[better], state[better]
        state = state + done.move
        wider = np.maximum(has, 0.0) + more_mm
    ends = np.cumsum([len(one) for one in starts])[:-1]
    return [
        [printed(trial[: len(flask.waxes)]) for trial in layouts[margins >= 0.0]]
        for flask, layouts, margins in zip(flasks, np.split(best, ends), np.split(widest, ends), strict=True)
    ]
