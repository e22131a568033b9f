"""How fast a kiln really climbs and falls, from what was read of it."""

from __future__ import annotations

from collections.abc import Sequence

from casting.calc.kiln.night_watch import Reading
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_plan import FiredSegment


def measured_ramp(segment: FiredSegment, readings: Sequence[Reading], book: Rulebook) -> float | None:
    """Return how fast a kiln climbed or fell on its way to the heat of a segment.

    Parameters
    ----------
    segment : FiredSegment
        A part of its run, from when it really went on.
    readings : sequence of Reading
        What was read of the kiln, in order of time.
    book : Rulebook
        `learning_apart_min`, how long the readings lie apart at least; `kiln_still_c`, within which a kiln is there.

    Returns
    -------
    float or None
        The rate between the first and the last reading on the way [degrees C an hour], over 0. None of readings too
        near to each other, of one that is there already, or of a kiln that went the other way.
    """
    still_c = book.limit("kiln_still_c")
    on_way = [
        one
        for one in readings
        if segment.starts_at <= one.at <= segment.reached_at and abs(one.celsius - segment.to_c) > still_c
    ]
    if not on_way or on_way[-1].at - on_way[0].at < book.limit("learning_apart_min"):
        return None
    first, last = on_way[0], on_way[-1]
    rate = (last.celsius - first.celsius) / (last.at - first.at) * 60
    rate = -rate if segment.to_c < first.celsius else rate
    return rate if rate > 0 else None
