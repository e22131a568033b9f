"""Firing: ramps and holds as a kiln runs them, and the soak before a pour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from casting.calc.quantities.flask_heat import settle_min
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import COLD_C, Firing, FlaskSize, Kiln, Segment
from casting.calc.values.day_plan import FiredSegment
from casting.calc.values.tolerances import SLACK


def whole_minutes(minutes: float) -> int:
    """Return a length of time rounded up to a whole minute.

    Parameters
    ----------
    minutes : float
        A length of time [min].

    Returns
    -------
    int
        The time, never shorter [min].
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
        The time, rounded up to a whole minute [min].

    Examples
    --------
    >>> ramp_min(20, 149, 167)
    47
    """
    return whole_minutes(abs(to_c - from_c) / rate_c_per_h * 60)


def written_min(segments: Sequence[Segment], start_c: float) -> float:
    """Return how long a firing takes as it is written, unrounded.

    Parameters
    ----------
    segments : sequence of Segment
        The firing up to its top.
    start_c : float
        Kiln temperature at the start [degrees C].

    Returns
    -------
    float
        Ramps and holds [min].

    Examples
    --------
    >>> written_min([Segment(100, 120, 60)], 20)
    120.0
    """
    total, now_c = 0.0, start_c
    for segment in segments:
        total += abs(segment.to_c - now_c) / segment.ramp_c_per_h * 60 + segment.hold_min
        now_c = segment.to_c
    return total


def top_ends_min(segments: Sequence[Segment]) -> float:
    """Return how long a firing takes as it is written, from a cold kiln to the end of its top hold.

    Parameters
    ----------
    segments : sequence of Segment
        At least one; what follows the top hold is left out.

    Returns
    -------
    float
        Ramps and holds [min].

    Examples
    --------
    >>> top_ends_min([Segment(100, 120, 60), Segment(100, 20, 0)])
    120.0
    """
    top_c = max(segment.to_c for segment in segments)
    last = max(nth for nth, segment in enumerate(segments) if segment.to_c >= top_c)
    return written_min(segments[: last + 1], COLD_C)


def fire(firing: Firing, kiln: Kiln, start_c: float = COLD_C) -> tuple[FiredSegment, ...]:
    """Return a firing as this kiln runs it, from minute 0.

    Parameters
    ----------
    firing : Firing
        Ramps and holds as written.
    kiln : Kiln
        The kiln that must follow them; the slower of the two rates counts.
    start_c : float
        Kiln temperature at minute 0 [degrees C].

    Returns
    -------
    tuple of FiredSegment
        In order; each starts when the one before ends. Ramps and holds are rounded up to
        whole minutes.
    """
    fired, at, now_c = [], 0, float(start_c)
    for segment in firing.segments:
        limit = kiln.max_ramp_c_per_h if segment.to_c >= now_c else kiln.cool_c_per_h
        rate = min(segment.ramp_c_per_h, limit)
        reached = at + ramp_min(now_c, segment.to_c, rate)
        ends = reached + whole_minutes(segment.hold_min)
        fired.append(FiredSegment(rate, segment.to_c, ends - reached, at, reached, ends, cooling=False))
        at, now_c = ends, segment.to_c
    return tuple(fired)


@dataclass(frozen=True, slots=True)
class Soak:
    """How long a flask must be at its temperature: what practice holds, and what its core takes [min]."""

    practice_min: float
    core_min: float

    @property
    def needed_min(self) -> int:
        """The longer of the two, in whole minutes [min]."""
        return whole_minutes(max(self.practice_min, self.core_min))


def soak_of(size: FlaskSize, fall_c: float, after_top: bool, book: Rulebook) -> Soak:
    """Return how long a flask must be at its temperature before it is poured, and why.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    fall_c : float
        How far the kiln fell to get there [degrees C].
    after_top : bool
        True if that was the fall from the top of the firing.
    book : Rulebook
        Holds the soaks of practice, the sizes and falls from which they count, and the figures of the investment.

    Returns
    -------
    Soak
        Practice holds the full soak after the fall from the top or a large step, longer in a wide or tall flask, and
        the short one after a small step.
    """
    core_min = settle_min(size, fall_c, book)
    if not after_top and fall_c <= book.limit("soak_short_to_c"):
        return Soak(book.limit("soak_short_min"), core_min)
    wide = size.diameter_mm > book.limit("soak_wide_from_mm") + SLACK
    tall = size.height_mm > book.limit("soak_tall_from_mm") + SLACK
    return Soak(book.limit("soak_wide_min" if wide or tall else "soak_full_min"), core_min)
