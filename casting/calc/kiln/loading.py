"""Loads kilns: which kiln takes which flask, the place of each, and an upper bound on their number."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from casting.calc.kiln.circle_packing import Spot, pack_circles
from casting.calc.values.day_input import DayInput, Firing, FlaskSize, Kiln, Rules
from casting.calc.values.day_plan import KilnPlace
from casting.calc.values.enums import Kind
from casting.calc.values.tolerances import PER_MM, PRINTED, SLACK, SPARE


@dataclass(frozen=True, slots=True)
class ShelfFlask:
    """A flask as the kiln sees it; `kiln` is the one it has to stand in, empty if any will do."""

    label: str
    outside_mm: float
    diameter_mm: float
    height_mm: float
    kind: Kind
    kiln: str = ""


def firing_for(firings: Sequence[Firing], flasks: Iterable[ShelfFlask]) -> Firing | None:
    """Return the firing of a kiln loaded with these flasks.

    Parameters
    ----------
    firings : sequence of Firing
        In the school's order, shortest first.
    flasks : iterable of ShelfFlask
        All flasks of one kiln.

    Returns
    -------
    Firing or None
        The first whose diameter, height and kinds suit every flask; None if none does.
    """
    flasks = list(flasks)
    for firing in firings:
        if all(
            flask.diameter_mm <= firing.max_diameter_mm + SLACK
            and flask.height_mm <= firing.max_height_mm + SLACK
            and flask.kind in firing.kinds
            for flask in flasks
        ):
            return firing
    return None


def firings_by_kiln(kilns: Iterable[Kiln], firings: Iterable[Firing]) -> dict[str, tuple[Firing, ...]]:
    """Return the firings that each kiln may run.

    Parameters
    ----------
    kilns : iterable of Kiln
        The kilns of the day.
    firings : iterable of Firing
        The school's firings, in its order.

    Returns
    -------
    dict of str to tuple of Firing
        By the kiln's key, in that order: those whose top it reaches, and those whose top no kiln of the day reaches,
        of which a caution tells.
    """
    listed, kilns = tuple(firings), tuple(kilns)
    beyond = {firing.key for firing in listed if not any(kiln.reaches(firing) for kiln in kilns)}
    return {kiln.key: tuple(one for one in listed if kiln.reaches(one) or one.key in beyond) for kiln in kilns}


def is_high_enough(kiln: Kiln, rules: Rules, height_mm: float) -> bool:
    """Tell whether a flask of a height, with room under and over it, stands in a kiln.

    Parameters
    ----------
    kiln : Kiln
        The kiln.
    rules : Rules
        `kiln_under_mm` and `kiln_over_mm`.
    height_mm : float
        Height of the flask [mm].

    Returns
    -------
    bool
        True if it does, with the margin of 0.001 mm.
    """
    return height_mm + rules.kiln_under_mm + rules.kiln_over_mm <= kiln.height_mm + SLACK


def could_fire(day: DayInput, size: FlaskSize) -> bool:
    """Tell whether some kiln and some firing of a day could take a flask of a size, alone.

    Parameters
    ----------
    day : DayInput
        The day, for its kilns, firings and gaps.
    size : FlaskSize
        The size.

    Returns
    -------
    bool
        True if one kiln is high, wide and deep enough and one firing is for such a size, with the margin of 0.001 mm.
    """
    return any(
        is_high_enough(kiln, day.rules, size.height_mm)
        and size.outside_mm + 2 * kiln.wall_gap_mm <= min(kiln.width_mm, kiln.depth_mm) + SLACK
        for kiln in day.kilns
    ) and any(
        size.diameter_mm <= firing.max_diameter_mm + SLACK and size.height_mm <= firing.max_height_mm + SLACK
        for firing in day.firings
    )


def load_kilns(
    day_kilns: Sequence[Kiln],
    firings: Sequence[Firing],
    rules: Rules,
    flasks: Sequence[ShelfFlask],
    *,
    hard: bool = True,
) -> dict[str, KilnPlace] | None:
    """Return a place in a kiln for every flask, or None if none was found.

    Parameters
    ----------
    day_kilns : sequence of Kiln
        In the school's order; each is loaded once.
    firings : sequence of Firing
        A kiln's flasks must all suit one of them.
    rules : Rules
        Gaps, and room under and over.
    flasks : sequence of ShelfFlask
        All flasks of the day, in any order.
    hard : bool
        Whether random loads are tried where corner placement fails.

    Returns
    -------
    dict of str to KilnPlace, or None
        By label. As few kilns as possible, the first of the list before the others; flasks that have to
        stand in one kiln first, then the largest, or those that need the longest firing. Every place is
        accepted by `shelf_faults`.
        None proves nothing; see `most_flasks`.
    """
    if not flasks:
        return {}
    largest = sorted(
        flasks, key=lambda flask: (not flask.kiln, -flask.outside_mm, -flask.height_mm, flask.kind, flask.label)
    )
    narrowest_mm = min(flask.outside_mm for flask in flasks)
    may_run = firings_by_kiln(day_kilns, firings)
    longest = sorted(largest, key=lambda flask: (not flask.kiln, -_firing_number(firings, flask)))
    for count in range(1, len(day_kilns) + 1):
        turns = [turn for kilns in combinations(day_kilns, count) for turn in dict.fromkeys((kilns, kilns[::-1]))]
        for further in (False, True) if hard else (False,):
            for turn in turns:
                if len(flasks) > most_flasks(turn, rules, narrowest_mm):
                    continue
                for order in (largest, longest):
                    found = _share_out(turn, may_run, rules, order, further)
                    if found is not None:
                        return found
    return None


def _firing_number(firings: Sequence[Firing], flask: ShelfFlask) -> int:
    firing = firing_for(firings, [flask])
    return firings.index(firing) if firing else len(firings)


def _share_out(
    kilns: Sequence[Kiln],
    may_run: Mapping[str, Sequence[Firing]],
    rules: Rules,
    order: Sequence[ShelfFlask],
    hard: bool,
) -> dict[str, KilnPlace] | None:
    """First fit: each flask into the first kiln that still takes it."""
    loads: list[list[ShelfFlask]] = [[] for _ in kilns]
    if len(kilns) == 1:
        loads, order = [list(order)], []
        if not _suits(kilns[0], may_run, rules, loads[0]):
            return None
    for flask in order:
        for kiln, load in zip(kilns, loads, strict=True):
            if _suits(kiln, may_run, rules, [*load, flask]) and any(_candidates(kiln, rules, [*load, flask], hard)):
                load.append(flask)
                break
        else:
            return None
    found: dict[str, KilnPlace] = {}
    for kiln, load in zip(kilns, loads, strict=True):
        spots = _spots(kiln, rules, load, hard)
        if spots is None:
            return None
        found.update((flask.label, KilnPlace(kiln.key, *spot)) for flask, spot in zip(load, spots, strict=True))
    return found


def _suits(kiln: Kiln, may_run: Mapping[str, Sequence[Firing]], rules: Rules, load: Sequence[ShelfFlask]) -> bool:
    return firing_for(may_run[kiln.key], load) is not None and all(
        is_high_enough(kiln, rules, flask.height_mm) and flask.kiln in ("", kiln.key) for flask in load
    )


def shelf_faults(
    kiln: Kiln, rules: Rules, flasks: Sequence[ShelfFlask], places: Sequence[KilnPlace]
) -> tuple[str, ...]:
    """Return what is wrong with the load of a kiln, checked in whole picometres.

    Parameters
    ----------
    kiln : Kiln
        The kiln.
    rules : Rules
        `kiln_gap_mm`, `kiln_under_mm`, `kiln_over_mm`.
    flasks : sequence of ShelfFlask
        Its flasks.
    places : sequence of KilnPlace
        Their places, in the same order.

    Returns
    -------
    tuple of str
        One sentence per fault; lengths are compared with 0.001 mm. Empty if the load is valid.

    Notes
    -----
    Twice each length is compared, so that half a diameter is whole: two flasks are apart when
    4 distance^2 >= (sum of diameters + 2 gap)^2. Shares no code with the search.
    """
    found = []
    for flask, place in zip(flasks, places, strict=True):
        if not is_high_enough(kiln, rules, flask.height_mm):
            found.append(f"Flask {flask.label} is too high for {kiln.called}.")
        edge = _pm(flask.outside_mm) + 2 * (_pm(kiln.wall_gap_mm) - _pm(SLACK))
        for at_mm, room_mm in ((place.x_mm, kiln.width_mm), (place.y_mm, kiln.depth_mm)):
            if not edge <= 2 * _pm(at_mm) <= 2 * _pm(room_mm) - edge:
                found.append(f"Flask {flask.label} is less than {kiln.wall_gap_mm:g} mm from the side.")
    gap = 2 * (_pm(rules.kiln_gap_mm) - _pm(SLACK))
    stand = [
        (_pm(at.x_mm), _pm(at.y_mm), _pm(one.outside_mm), one.label) for one, at in zip(flasks, places, strict=True)
    ]
    for (x, y, outside, label), (to_x, to_y, other_outside, other) in combinations(stand, 2):
        need = max(outside + other_outside + gap, 0)
        if 4 * ((x - to_x) ** 2 + (y - to_y) ** 2) < need * need:
            found.append(f"Flasks {label} and {other} are less than {rules.kiln_gap_mm:g} mm apart.")
    return tuple(found)


def _pm(length_mm: float) -> int:
    return round(length_mm * PER_MM)


def most_flasks(kilns: Iterable[Kiln], rules: Rules, outside_mm: float) -> int:
    """Return an upper bound on the number of flasks in these kilns.

    Parameters
    ----------
    kilns : iterable of Kiln
        The kilns.
    rules : Rules
        `kiln_gap_mm`.
    outside_mm : float
        Outside diameter of the narrowest flask [mm].

    Returns
    -------
    int
        No load has more flasks of that width or wider; heights do not count.

    Notes
    -----
    The axes lie d = outside + gap apart in a rectangle of sides a >= b. Three bounds, the least
    counts: 2/sqrt(3) ab/d^2 + (a + b)/d + 1 (Oler 1961); the circles of diameter d cover at most
    pi/sqrt(12) of the rectangle grown by d/2 (Fejes Toth); and if b < d, neighbours along a are at
    least sqrt(d^2 - b^2) apart along it.
    """
    pitch_mm = outside_mm + rules.kiln_gap_mm - PRINTED
    return sum(_most_in(kiln, outside_mm, pitch_mm) for kiln in kilns)


def _most_in(kiln: Kiln, outside_mm: float, pitch_mm: float) -> int:
    taken_mm = 2 * kiln.wall_gap_mm + outside_mm - 2 * PRINTED
    b, a = sorted((kiln.width_mm - taken_mm, kiln.depth_mm - taken_mm))
    if b < 0:
        return 0
    if pitch_mm <= 0:
        return 10**6
    bounds = [
        2 / math.sqrt(3) * a * b / pitch_mm**2 + (a + b) / pitch_mm + 1,
        2 / math.sqrt(3) * (a + pitch_mm) * (b + pitch_mm) / pitch_mm**2,
    ]
    if b < pitch_mm:
        bounds.append(a / math.sqrt(pitch_mm**2 - b**2) + 1)
    return math.floor(min(bounds) + 1e-9)


def _spots(kiln: Kiln, rules: Rules, load: Sequence[ShelfFlask], hard: bool) -> tuple[Spot, ...] | None:
    """Verified places for a load, with SPARE where possible; None if none were found."""
    return next(
        (
            spots
            for spots in _candidates(kiln, rules, load, hard)
            if not shelf_faults(kiln, rules, load, [KilnPlace(kiln.key, *spot) for spot in spots])
        ),
        None,
    )


def _candidates(kiln: Kiln, rules: Rules, load: Sequence[ShelfFlask], hard: bool) -> Iterator[tuple[Spot, ...]]:
    """Places found for a load, those with SPARE before those that just fit."""
    order = sorted(range(len(load)), key=lambda i: (-load[i].outside_mm, load[i].label))
    off_mm = kiln.wall_gap_mm - rules.kiln_gap_mm / 2
    for spare_mm in (SPARE, 0.0):
        pitches = tuple(load[i].outside_mm + rules.kiln_gap_mm + spare_mm for i in order)
        found = pack_circles(pitches, kiln.width_mm - 2 * off_mm, kiln.depth_mm - 2 * off_mm, hard and spare_mm > 0)
        if found is not None:
            at = dict(zip(order, found, strict=True))
            yield tuple((round(at[i][0] + off_mm, 3), round(at[i][1] + off_mm, 3)) for i in range(len(load)))
