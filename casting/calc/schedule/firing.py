"""Firing: ramps and holds as they run, the fall to the flask temperatures, the soak."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from casting.calc.values.day_input import SLACK, Alloy, Firing, FlaskSize, Kiln, Segment
from casting.calc.values.day_plan import FiredSegment
from casting.calc.values.enums import Section

COLD_C = 20
"""A kiln is at 20 C when it goes on (the plan file's definition)."""

HOTTEST_FLASK_C = 704
"""No flask is hotter at the pour: the upper end of common practice (1300 F)."""

WIDE_MM, TALL_MM = 89.0, 102.0
FULL_SOAK_MIN, WIDE_SOAK_MIN, STEP_SOAK_MIN, STEP_C = 60, 120, 30, 100
"""The soaks of common practice: by flask size after the fall, shorter after a small step."""


def whole_minutes(minutes: float) -> int:
    """Return a length of time up to the next whole minute.

    Parameters
    ----------
    minutes : float
        A length of time [min].

    Returns
    -------
    int
        Never shorter [min].
    """
    return math.ceil(minutes - 1e-9)


def ramp_min(from_c: float, to_c: float, rate_c_per_h: float) -> int:
    """Return how long a kiln takes from one temperature to another.

    Parameters
    ----------
    from_c, to_c : float
        Temperatures [degrees C].
    rate_c_per_h : float
        Rate, over 0 [degrees C per hour].

    Returns
    -------
    int
        Up to the next whole minute [min].

    Examples
    --------
    >>> ramp_min(20, 149, 167)
    47
    """
    return whole_minutes(abs(to_c - from_c) / rate_c_per_h * 60)


def sum_of_holds_min(segments: Sequence[Segment]) -> float:
    """Return the hours in a firing's name: its holds only, ramps left out.

    Parameters
    ----------
    segments : sequence of Segment
        The firing.

    Returns
    -------
    float
        Sum of the holds [min].
    """
    return sum(segment.hold_min for segment in segments)


def wall_clock_min(
    segments: Sequence[Segment], soak_c: float, soak_min: float, start_c: float, cool_c_per_h: float
) -> float:
    """Return the whole time from a cold kiln to the end of the soak, unrounded.

    Parameters
    ----------
    segments : sequence of Segment
        The firing up to its top.
    soak_c : float
        Flask temperature [degrees C].
    soak_min : float
        Soak at it [min].
    start_c : float
        Kiln temperature at the start [degrees C].
    cool_c_per_h : float
        Rate of the fall from the top [degrees C per hour].

    Returns
    -------
    float
        Time [min].
    """
    total, now_c = 0.0, start_c
    for segment in segments:
        total += abs(segment.to_c - now_c) / segment.ramp_c_per_h * 60 + segment.hold_min
        now_c = segment.to_c
    return total + abs(now_c - soak_c) / cool_c_per_h * 60 + soak_min


def fire(firing: Firing, kiln: Kiln) -> tuple[FiredSegment, ...]:
    """Return a firing as this kiln runs it, from minute 0 at 20 C.

    Parameters
    ----------
    firing : Firing
        Ramps and holds as written.
    kiln : Kiln
        The kiln that must follow them; the slower of the two rates counts.

    Returns
    -------
    tuple of FiredSegment
        In order; each starts when the one before ends. Ramps go up to whole minutes,
        holds are never shorter.
    """
    fired, at, now_c = [], 0, float(COLD_C)
    for segment in firing.segments:
        limit = kiln.max_ramp_c_per_h if segment.to_c >= now_c else kiln.cool_c_per_h
        rate = min(segment.ramp_c_per_h, limit)
        reached = at + ramp_min(now_c, segment.to_c, rate)
        ends = reached + whole_minutes(segment.hold_min)
        fired.append(FiredSegment(rate, segment.to_c, ends - reached, at, reached, ends, cooling=False))
        at, now_c = ends, segment.to_c
    return tuple(fired)


def soak_needed_min(size: FlaskSize, fall_c: float, after_top: bool) -> int:
    """Return how long a flask must be at its temperature before it is poured.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    fall_c : float
        How far the kiln fell to get there [degrees C].
    after_top : bool
        True if that was the fall from the top of the firing.

    Returns
    -------
    int
        Soak [min]: 60 after the fall from the top, or a step of more than 100 C; 120 then
        if wider than 89 mm or higher than 102 mm; 30 after a smaller step.

    Notes
    -----
    Common practice; conduction (reference rows HT-EQ) takes 26 to 120 minutes.
    """
    if not after_top and fall_c <= STEP_C:
        return STEP_SOAK_MIN
    wide = size.diameter_mm > WIDE_MM + SLACK or size.height_mm > TALL_MM + SLACK
    return WIDE_SOAK_MIN if wide else FULL_SOAK_MIN


@dataclass(frozen=True, slots=True)
class Band:
    """The flask temperatures that suit one flask, and the one it takes of itself."""

    low_c: int
    high_c: int
    own_c: int


def band_of(alloy: Alloy, sections: Iterable[Section]) -> Band:
    """Return the flask temperatures for the sections that share a flask.

    Parameters
    ----------
    alloy : Alloy
        The metal, with its bands by section [degrees C].
    sections : iterable of Section
        The sections in the flask.

    Returns
    -------
    Band
        Whole degrees C: the band of the thinnest section, and its middle (rounded down),
        or its low end when a heavier section shares the flask; never above 704 C.
    """
    found = sorted(set(sections), key=lambda section: section.step)
    low, high = alloy.flask_c[found[0]]
    low_c = math.ceil(low - 1e-9)
    high_c = max(low_c, math.floor(high + 1e-9))
    own = low_c if len(found) > 1 else max(low_c, math.floor((low + high) / 2 + 1e-9))
    low_c, high_c, own = (min(HOTTEST_FLASK_C, temperature) for temperature in (low_c, high_c, own))
    return Band(low_c, high_c, own)


def share_temperatures(bands: Mapping[str, Band]) -> dict[str, int]:
    """Return a flask temperature for each flask of one kiln, as few different ones as can be.

    Parameters
    ----------
    bands : mapping of str to Band
        The band of each flask, by any key [degrees C].

    Returns
    -------
    dict of str to int
        Flask temperature of each [degrees C]. A flask leaves its own temperature only for
        one that another flask of the kiln takes of itself. Among equally few temperatures,
        the least sum of moves, then the hotter ones.
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
    """How few of the candidates meet every band: always serve the band that ends first."""
    left, count = sorted(bands, key=lambda band: band.high_c), 0
    while left:
        point = max(c for c in candidates if c <= left[0].high_c)
        left = [band for band in left if not band.low_c <= point <= band.high_c]
        count += 1
    return count
