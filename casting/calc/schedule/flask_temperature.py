"""Flask temperatures: the band of each flask, and the fewest different temperatures for the flasks of a kiln."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import Alloy
from casting.calc.values.enums import Section
from casting.calc.values.marked_text import mark


@dataclass(frozen=True, slots=True)
class Band:
    """The flask temperatures that suit one flask, and the one it prefers; `mark` stands after them in a sentence."""

    low_c: int
    high_c: int
    own_c: int
    mark: str = ""


def band_of(alloy: Alloy, sections: Iterable[Section], book: Rulebook, most_c: float = math.inf) -> Band:
    """Return the flask temperatures for the sections that share a flask.

    Parameters
    ----------
    alloy : Alloy
        The metal, with its bands by section [degrees C].
    sections : iterable of Section
        The sections in the flask.
    book : Rulebook
        Holds the most that a flask may have at the pour [degrees C].
    most_c : float
        The most that stones left in the waxes allow, if there are any [degrees C].

    Returns
    -------
    Band
        Whole degrees C: the band of the thinnest section, and its middle (rounded down),
        or its low end when a heavier section shares the flask; never above the most.
    """
    found = sorted(set(sections), key=lambda section: section.step)
    low, high = alloy.flask_c[found[0]]
    low_c = math.ceil(low - 1e-9)
    high_c = max(low_c, math.floor(high + 1e-9))
    own = low_c if len(found) > 1 else max(low_c, math.floor((low + high) / 2 + 1e-9))
    hottest_c = math.floor(min(book.limit("flask_hottest_c"), most_c))
    remembered = mark(f"flask_c.{found[0].value}", alloy.from_memory)
    return Band(min(hottest_c, low_c), min(hottest_c, high_c), min(hottest_c, own), remembered)


def share_temperatures(bands: Mapping[str, Band]) -> dict[str, int]:
    """Return a flask temperature for each flask of one kiln, with the fewest different ones.

    Parameters
    ----------
    bands : mapping of str to Band
        The band of each flask, by any key [degrees C].

    Returns
    -------
    dict of str to int
        Flask temperature of each [degrees C]. A flask leaves its preferred temperature only for
        one that another flask of the kiln prefers. Among equally few temperatures, the least sum
        of changes counts, then the hotter ones.
    """
    candidates = sorted({band.own_c for band in bands.values()}, reverse=True)
    fewest = _fewest(list(bands.values()), candidates)
    best: tuple[int, tuple[int, ...]] | None = None
    for chosen in itertools.combinations(candidates, fewest):
        moves = 0
        for band in bands.values():
            inside = [abs(c - band.own_c) for c in chosen if band.low_c <= c <= band.high_c]
            if not inside:
                break
            moves += min(inside)
        else:
            key = (moves, tuple(-c for c in chosen))
            best = key if best is None else min(best, key)
    points = [-c for c in best[1]] if best else candidates
    return {
        key: min((c for c in points if band.low_c <= c <= band.high_c), key=lambda c: (abs(c - band.own_c), -c))
        for key, band in bands.items()
    }


def _fewest(bands: list[Band], candidates: list[int]) -> int:
    """The fewest candidates that meet every band: greedily, the band that ends first before the others."""
    left, count = sorted(bands, key=lambda band: band.high_c), 0
    while left:
        point = max(c for c in candidates if c <= left[0].high_c)
        left = [band for band in left if not band.low_c <= point <= band.high_c]
        count += 1
    return count
