"""Finds spots for waxes in flasks where others stand as they are: many poses are tried, the best are pushed apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from casting.calc.geometry.infeasibility import cannot_fit_alone
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.contacts import Constraints, Flask, padded
from casting.calc.layout.max_clearance import maximise_clearance
from casting.calc.layout.search import WORK, printed, random_poses
from casting.calc.layout.separation import AIM, push
from casting.calc.values.arrays import Floats
from casting.calc.values.day_plan import Place
from casting.calc.values.tolerances import SPARE

WIDER = np.geomspace(8.0, 0.1, 12)
"""How much wider than it is a spot is asked to be, push by push [mm]."""

Standing = Sequence[tuple[Footprint, Place]]
"""The waxes that stand as they are."""

POSES, BEST, STEPS = 480, 8, 30
"""Poses tried for one wax in a flask, those of them that are pushed, and the pushes."""

LACKS_MOST_MM, HOPELESS = 6.0, (10, 0.3)
"""The most that a pose may lack to be pushed at all [mm]; and after how many pushes a flask is given up that lacks how
much [mm].

Of 161 spots found on boards of invented days none lacked more than 4.7 mm at first, nor more than 0.12 after 10 pushes.
"""

MORE = 60
"""Pushes where several waxes are free."""


def find_spots(asked: Sequence[tuple[Footprint, Standing, Base]]) -> list[Place | None]:
    """Return a spot for one wax in each of several flasks, where all others stay as they are.

    Parameters
    ----------
    asked : sequence of (Footprint, standing, Base)
        For each flask the wax, those that stand in it already, and its base.

    Returns
    -------
    list of Place or None
        A spot that `verify` accepts, else None, which proves nothing.

    Examples
    --------
    >>> base = Base(63.5, 24, 6, 7, 3)
    >>> (spot,) = find_spots([(Footprint(20, 6, 6.5), [(Footprint(20, 6, 6.5), Place(0, -7, 0))], base)])
    >>> spot is not None and spot.y_mm > 4.9
    True
    """
    found: list[Place | None] = [None] * len(asked)
    open_ = []
    for nth, (wax, standing, base) in enumerate(asked):
        if not standing and not faults([wax], [Place(0.0, 0.0, 0.0)], base):
            found[nth] = Place(0.0, 0.0, 0.0)
        elif standing and not cannot_fit_alone(wax, base):
            open_.append(nth)
    flasks = [([wax, *(one for one, _ in standing)], base) for wax, standing, base in (asked[nth] for nth in open_)]
    if not flasks:
        return found
    trials = [_best(asked[nth][1], flask) for nth, flask in zip(open_, flasks, strict=True)]
    likely = [nth for nth, one in enumerate(trials) if len(one)]
    if not likely:
        return found
    flasks, standing_ = [flasks[nth] for nth in likely], [asked[open_[nth]][1] for nth in likely]
    pushed = pushed_apart(flasks, standing_, [trials[nth] for nth in likely], 1, STEPS, hopeless=HOPELESS)
    for nth, free in zip(likely, widened(flasks, standing_, pushed, 1), strict=True):
        found[open_[nth]] = None if free is None else free[0]
    return found


def widened(
    flasks: Sequence[Flask], standing: Sequence[Standing], found: Sequence[tuple[Place, ...] | None], free: int
) -> list[tuple[Place, ...] | None]:
    """Return the free waxes of each flask moved to where they have more room, as a caster would set them.

    Parameters
    ----------
    flasks : sequence of (sequence of Footprint, Base)
        The waxes of each flask, the free ones first, and its base.
    standing : sequence of standing
        Those of each that stand as they are.
    found : sequence of (tuple of Place, or None)
        Places of the free waxes of each that the verifier accepts; None where none were found.
    free : int
        How many of each are free.

    Returns
    -------
    list of (tuple of Place, or None)
        The same, where the verifier accepts no wider ones [mm, degrees].
    """
    places = list(found)
    which = [nth for nth, one in enumerate(found) if one is not None]
    trials = [
        with_standing(
            np.array([[(at.x_mm, at.y_mm, np.radians(at.turn_deg)) for at in found[nth] or ()]]), standing[nth]
        )
        for nth in which
    ]
    if not which:
        return places
    for nth, one in zip(which, maximise_clearance([flasks[nth] for nth in which], trials, WIDER, free), strict=True):
        wider = printed(one.layouts[0, :free])
        if not faults(flasks[nth][0], (*wider, *(at for _, at in standing[nth])), flasks[nth][1]):
            places[nth] = wider
    return places


def find_around(
    footprints: Sequence[Footprint], stands: Sequence[Place | None], base: Base, work: int = WORK
) -> tuple[Place, ...] | None:
    """Return places for waxes of which some stand as they are.

    Parameters
    ----------
    footprints : sequence of Footprint
        The waxes.
    stands : sequence of Place or None
        Where each stands; None for those that are to be placed.
    base : Base
        The base they stand on.
    work : int
        How many trial layouts to push apart. A layout found with some work is found with more.

    Returns
    -------
    tuple of Place or None
        Places in the order of the waxes, accepted by `verify.faults`. None proves nothing.
    """
    free = [nth for nth, place in enumerate(stands) if place is None]
    standing = [(footprints[nth], place) for nth, place in enumerate(stands) if place is not None]
    if not free:
        places = tuple(place for _, place in standing)
        return None if faults(footprints, places, base) else places
    if len(free) == 1:
        (spot,) = find_spots([(footprints[free[0]], standing, base)])
        found: tuple[Place, ...] | None = None if spot is None else (spot,)
    else:
        found = _several([footprints[nth] for nth in free], standing, base, work)
    if found is None:
        return None
    by_place = dict(zip(free, found, strict=True))
    return tuple(by_place[nth] if place is None else place for nth, place in enumerate(stands))


def _several(footprints: Sequence[Footprint], standing: Standing, base: Base, work: int) -> tuple[Place, ...] | None:
    """Places of several free waxes around those that stand."""
    flask, chance = ([*footprints, *(one for one, _ in standing)], base), _chance(footprints)
    tried = 0
    while tried < work:
        poses = random_poses(chance.random((WORK, len(footprints), 3)), base.hub_mm / 2 + base.reach_mm)
        trials = [with_standing(poses, standing)]
        found = pushed_apart([flask], [standing], trials, len(footprints), MORE)
        if found[0] is not None:
            return widened([flask], [standing], found, len(footprints))[0]
        tried += WORK
    return None


def _chance(footprints: Sequence[Footprint]) -> np.random.Generator:
    """A random generator seeded by the waxes, so that the same question has the same answer."""
    return np.random.default_rng([round(1000 * mm) for one in footprints for mm in (one.width_mm, one.depth_mm)])


def with_standing(poses: Floats, standing: Standing) -> Floats:
    """Return trials of free waxes with those that stand behind them.

    Parameters
    ----------
    poses : array of float
        Trial, free wax, and x [mm], y [mm], turn [radians].
    standing : standing
        The waxes that stand as they are.

    Returns
    -------
    array of float
        Trial, wax, and x [mm], y [mm], turn [radians].
    """
    fixed = np.array([(at.x_mm, at.y_mm, np.radians(at.turn_deg)) for _, at in standing]).reshape(-1, 3)
    return np.concatenate([poses, np.broadcast_to(fixed, (len(poses), *fixed.shape))], axis=1)


def _best(standing: Standing, flask: Flask) -> Floats:
    """Of many poses of a wax those that lack least; none if all lack too much."""
    footprints, base = flask
    poses = random_poses(_chance(footprints).random((POSES, 1, 3)), base.hub_mm / 2 + base.reach_mm)
    trials = with_standing(poses, standing)
    lacks = push(Constraints.of([flask], [1], free=1), padded([trials])).total
    best = np.argsort(lacks, kind="stable")[:BEST]
    return trials[best[lacks[best] <= LACKS_MOST_MM]]


def pushed_apart(
    flasks: Sequence[Flask],
    standing: Sequence[Standing],
    trials: Sequence[Floats],
    free: int,
    steps: int,
    hopeless: tuple[int, float] = (0, 0.0),
) -> list[tuple[Place, ...] | None]:
    """Return the places of the free waxes of each flask in the first trial that the verifier accepts.

    Parameters
    ----------
    flasks : sequence of (sequence of Footprint, Base)
        The waxes of each flask, the free ones first, and its base.
    standing : sequence of standing
        Those of each that stand as they are.
    trials : sequence of array of float
        Trials of each flask (trial; wax; x, y [mm], turn [radians]).
    free : int
        How many of each are free.
    steps : int
        How often the trials are pushed apart.
    hopeless : tuple of (int, float), optional
        After how many pushes the flasks are given up whose best trial lacks more than so much [mm].

    Returns
    -------
    list of (tuple of Place, or None)
        For each flask [mm, degrees]; None if no trial was accepted, which proves nothing.
    """
    counts = [len(one) for one in trials]
    state, constraints = padded(trials), Constraints.of(flasks, counts, free)
    whose = np.repeat(np.arange(len(flasks)), counts)
    found: list[tuple[Place, ...] | None] = [None] * len(flasks)
    given_up = np.zeros(len(flasks), dtype=bool)
    for step in range(steps):
        pushed = push(constraints, state)
        worst = pushed.worst
        if step and step == hopeless[0]:
            given_up = np.array([not (worst[whose == nth] <= hopeless[1]).any() for nth in range(len(flasks))])
        for trial in np.flatnonzero(worst <= AIM - SPARE):
            nth = whose[trial]
            places = printed(state[:, :free, trial].T)
            if found[nth] is None and not faults(
                flasks[nth][0], (*places, *(at for _, at in standing[nth])), flasks[nth][1]
            ):
                found[nth] = places
        stay = np.array([found[nth] is None and not given_up[nth] for nth in whose])
        if not stay.any():
            break
        state[:, :free] += pushed.move
        if not stay.all():
            constraints, state, whose = constraints.only(stay), state.compress(stay, axis=2), whose[stay]
    return found
