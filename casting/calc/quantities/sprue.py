"""Sprues of a wax: how thick, how many and where, by its thickest part."""

from __future__ import annotations

import math
from dataclasses import dataclass

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import Wax
from casting.calc.values.enums import Stones
from casting.calc.values.tolerances import SLACK

GAUGE_36_MM, STEPS, RATIO = 0.127, 39, 92
"""The wire gauge of Brown & Sharpe (American wire gauge, ASTM B258): 0.127 mm at 36, 92 times that 39 steps up."""
THICKEST_GAUGE = 0


@dataclass(frozen=True, slots=True)
class Sprues:
    """The sprues that a wax asks for.

    `least_mm` is how thick each is at least and `gauge` the thinnest wire gauge that is so, None where the thickest
    part is not recorded or no gauge is so thick. `thick_parts` is as recorded. `by_size` tells that the wax is so
    heavy or wide that it wants a second one, `by_stones` that its stones want theirs.
    """

    least_mm: float | None
    gauge: int | None
    count: int
    thick_parts: int | None
    by_size: bool
    by_stones: bool
    longest_mm: float


def gauge_mm(gauge: int) -> float:
    """Return how thick wire of a gauge is.

    Parameters
    ----------
    gauge : int
        Number of Brown & Sharpe's wire gauge.

    Returns
    -------
    float
        Diameter [mm].

    Examples
    --------
    >>> round(gauge_mm(8), 3)
    3.264
    """
    return float(GAUGE_36_MM * RATIO ** ((36 - gauge) / STEPS))


def gauge_for(least_mm: float) -> int | None:
    """Return the thinnest wire gauge that is at least so thick.

    Parameters
    ----------
    least_mm : float
        Diameter, over 0 [mm].

    Returns
    -------
    int or None
        Its number; None for more than gauge 0 has.

    Examples
    --------
    >>> gauge_for(3.0)
    8
    """
    gauge = math.floor(36 - STEPS * math.log((least_mm - SLACK) / GAUGE_36_MM, RATIO))
    return gauge if gauge >= THICKEST_GAUGE else None


def sprues_for(wax: Wax, specific_gravity: float, book: Rulebook) -> Sprues:
    """Return the sprues that a wax asks for.

    Parameters
    ----------
    wax : Wax
        The wax.
    specific_gravity : float
        Of its material, against water [1].
    book : Rulebook
        Holds the limits.

    Returns
    -------
    Sprues
        At least as thick as its thickest part. One for each thick part that a thin one cuts off, two for a heavy or
        wide wax, three around stones; one otherwise.
    """
    heavy = wax.wax_g / specific_gravity > book.limit("sprue_heavy_ml") + SLACK
    wide = max(wax.width_mm, wax.depth_mm) > book.limit("sprue_wide_mm") + SLACK
    stones = wax.stones is not Stones.NONE
    counts = [wax.thick_parts or 1]
    counts += [round(book.limit("large_sprues"))] if heavy or wide else []
    counts += [round(book.limit("stones_sprues"))] if stones else []
    least_mm = None if wax.thickest_mm is None else wax.thickest_mm * book.limit("sprue_of_thickest_pct") / 100
    return Sprues(
        least_mm=least_mm,
        gauge=None if least_mm is None else gauge_for(least_mm),
        count=max(counts),
        thick_parts=wax.thick_parts,
        by_size=heavy or wide,
        by_stones=stones,
        longest_mm=book.limit("sprue_longest_mm"),
    )
