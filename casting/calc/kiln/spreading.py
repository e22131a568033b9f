"""Spreads the flasks of a kiln: as far apart as they go up to a limit, the first out nearest the door."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from casting.calc.kiln.circle_packing import Spot, Spots, pack_circles, pack_in_turn
from casting.calc.kiln.loading import ShelfFlask, is_high_enough, shelf_faults
from casting.calc.values.day_input import Kiln, Rules
from casting.calc.values.day_plan import KilnPlace
from casting.calc.values.tolerances import SPARE


def spread(
    kiln: Kiln, rules: Rules, flasks: Sequence[ShelfFlask], spread_mm: float, *, hard: bool = False
) -> list[KilnPlace] | None:
    """Return places for the flasks of one kiln, spread out where there is room.

    Parameters
    ----------
    kiln : Kiln
        The kiln.
    rules : Rules
        `kiln_gap_mm`, the least gap, and the room under and over.
    flasks : sequence of ShelfFlask
        In the order they come out.
    spread_mm : float
        The gap beyond which they are spread no further [mm].
    hard : bool
        Whether random loads are tried where the least gap is hard to keep.

    Returns
    -------
    list of KilnPlace or None
        In the order of the flasks; None if no places were found, which proves nothing.

    Notes
    -----
    The gap is the widest of the whole mm for which places were found, or `kiln_gap_mm`. At each gap
    the flasks are first placed in turn, each as near the door as it goes, then in rows; else largest first.
    Flasks equally wide change places until the first out stands nearest the door.
    """
    if not all(is_high_enough(kiln, rules, flask.height_mm) for flask in flasks):
        return None
    least = rules.kiln_gap_mm
    widest = _placed(kiln, rules, flasks, max(least, spread_mm), hard=False)
    if widest is not None:
        return widest
    found = _placed(kiln, rules, flasks, least, hard=hard)
    works, fails = math.floor(least), math.ceil(spread_mm)
    while found is not None and fails - works > 1:
        gap = (works + fails) // 2
        wider = _placed(kiln, rules, flasks, max(gap, least), hard=False)
        works, fails, found = (gap, fails, wider) if wider is not None else (works, gap, found)
    return found


def _placed(
    kiln: Kiln, rules: Rules, flasks: Sequence[ShelfFlask], gap_mm: float, *, hard: bool
) -> list[KilnPlace] | None:
    """Verified places with a gap; None if none were found."""
    for spots in _ways(kiln, flasks, gap_mm, hard=hard):
        places = [KilnPlace(kiln.key, *spot) for spot in _first_out_in_front(flasks, spots)]
        if not shelf_faults(kiln, rules, flasks, places):
            return places
    return None


def _ways(kiln: Kiln, flasks: Sequence[ShelfFlask], gap_mm: float, *, hard: bool) -> Iterator[list[Spot]]:
    """Places as printed: in turn, then largest first, last those that just fit."""
    off_mm = kiln.wall_gap_mm - gap_mm / 2
    width_mm, depth_mm = kiln.width_mm - 2 * off_mm, kiln.depth_mm - 2 * off_mm
    order = sorted(range(len(flasks)), key=lambda i: -flasks[i].outside_mm)

    def printed(spots: Spots) -> list[Spot]:
        return [(round(x + off_mm, 3), round(y + off_mm, 3)) for x, y in spots]

    def across(of: Sequence[int], spare_mm: float) -> tuple[float, ...]:
        return tuple(flasks[i].outside_mm + gap_mm + spare_mm for i in of)

    in_turn = pack_in_turn(across(range(len(flasks)), SPARE), width_mm, depth_mm)
    if in_turn is not None:
        yield printed(in_turn)
    in_rows = _rows(len(flasks), max(across(order, 0.0), default=0.0), width_mm, depth_mm)
    if in_rows is not None:
        yield printed(in_rows)
    for spare_mm in (SPARE, 0.0):
        found = pack_circles(across(order, spare_mm), width_mm, depth_mm, hard and spare_mm > 0)
        if found is not None:
            at = dict(zip(order, printed(found), strict=True))
            yield [at[i] for i in range(len(flasks))]


def _rows(count: int, cell_mm: float, width_mm: float, depth_mm: float) -> Spots | None:
    """Rows of cells from the front, each filled from the left, all in the middle; None if there are too few cells."""
    columns = min(count, math.floor(width_mm / cell_mm + 1e-9)) if count else 0
    rows = math.ceil(count / columns) if columns else 0
    if not columns or rows * cell_mm > depth_mm + 1e-9:
        return None
    left, front = (width_mm - columns * cell_mm) / 2, (depth_mm - rows * cell_mm) / 2
    return tuple((left + (n % columns + 0.5) * cell_mm, front + (n // columns + 0.5) * cell_mm) for n in range(count))


def _first_out_in_front(flasks: Sequence[ShelfFlask], spots: Sequence[Spot]) -> list[Spot]:
    """Flasks equally wide stand from the door backward, and from left to right, in the order they come out."""
    found = list(spots)
    for outside_mm in {flask.outside_mm for flask in flasks}:
        alike = [i for i, flask in enumerate(flasks) if flask.outside_mm == outside_mm]
        for i, spot in zip(alike, sorted((spots[i] for i in alike), key=lambda at: (at[1], at[0])), strict=True):
            found[i] = spot
    return found
