"""A kiln's readings against its planned curve: how late it is, and what is not as it should be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import COLD_C
from casting.calc.values.day_plan import FiredSegment


class Off(StrEnum):
    """What is wrong with a kiln, the worst first."""

    OVER_POWDER = "over_powder"
    RISES = "rises"
    DOES_NOT_FOLLOW = "does_not_follow"
    HOT = "hot"
    COLD = "cold"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a kiln read: when [min from the first pour] and how hot [degrees C]."""

    at: int
    celsius: float


@dataclass(frozen=True, slots=True)
class Watch:
    """What the last reading says: `off` is None where all is as planned.

    `behind_min` is how much later than planned the kiln is on its way up [min], 0 where that cannot be told.
    """

    off: Off | None = None
    behind_min: int = 0


def planned_c(segments: Sequence[FiredSegment], at: float) -> float:
    """Return what a kiln should read.

    Parameters
    ----------
    segments : sequence of FiredSegment
        Its run, in order; cold before it.
    at : float
        A moment [min from the first pour].

    Returns
    -------
    float
        The temperature [degrees C]; after the last segment, that of its hold.
    """
    from_c = float(COLD_C)
    for segment in segments:
        if at < segment.starts_at:
            return from_c
        if at < segment.reached_at:
            share = (at - segment.starts_at) / (segment.reached_at - segment.starts_at)
            return from_c + share * (segment.to_c - from_c)
        from_c = segment.to_c
        if at < segment.ends_at:
            return from_c
    return from_c


def watch(segments: Sequence[FiredSegment], readings: Sequence[Reading], powder_max_c: float, book: Rulebook) -> Watch:
    """Return what the last reading of a kiln says of it.

    Parameters
    ----------
    segments : sequence of FiredSegment
        Its planned run, from when it really went on.
    readings : sequence of Reading
        What was read, in order of time.
    powder_max_c : float
        What the investment takes at most [degrees C].
    book : Rulebook
        The limits: how far off is told, how many readings without a rise.

    Returns
    -------
    Watch
        As planned where nothing was read. One reading is off if it is over the limit from the curve.
    """
    if not readings:
        return Watch()
    last, off_c = readings[-1], book.limit("kiln_off_c")
    late = 0
    for reading in readings:
        late = _behind_min(segments, reading, late, book)
    as_late_c = planned_c(segments, last.at - late)
    if last.celsius > powder_max_c:
        return Watch(Off.OVER_POWDER, late)
    if last.celsius > as_late_c + off_c:
        return Watch(Off.RISES if _rises_by_itself(segments, readings, late, book) else Off.HOT, late)
    if _does_not_follow(segments, readings, book):
        return Watch(Off.DOES_NOT_FOLLOW, late)
    if late >= book.limit("kiln_late_min"):
        return Watch(Off.LATE, late)
    if last.celsius < as_late_c - off_c:
        return Watch(Off.COLD)
    return Watch()


def _rises_by_itself(segments: Sequence[FiredSegment], readings: Sequence[Reading], late: int, book: Rulebook) -> bool:
    """Whether a kiln that should hold or fall climbed between the last two readings: its relay may be stuck."""
    if len(readings) < 2:
        return False
    before, last = readings[-2:]
    should = planned_c(segments, last.at - late) - planned_c(segments, before.at - late)
    return should <= 0 and last.celsius - before.celsius > book.limit("kiln_still_c")


def _does_not_follow(segments: Sequence[FiredSegment], readings: Sequence[Reading], book: Rulebook) -> bool:
    """Whether the kiln hardly climbed over the last readings though it should have."""
    count = int(book.limit("kiln_still_readings"))
    if len(readings) < count:
        return False
    first, last = readings[-count], readings[-1]
    should = planned_c(segments, last.at) - planned_c(segments, first.at)
    return should > book.limit("kiln_off_c") and last.celsius - first.celsius < book.limit("kiln_still_c")


def _behind_min(segments: Sequence[FiredSegment], read: Reading, late: int, book: Rulebook) -> int:
    """How long ago the climbing curve was as hot as a reading [min]; once the top is reached, as late as before."""
    climbing = [one for one in segments if not one.cooling]
    if not climbing or read.at <= climbing[0].starts_at or read.at - late >= climbing[-1].ends_at:
        return late
    # A controller swings about its hold, and a thermometer is read by eye.
    near_c, from_c = book.limit("kiln_still_c"), float(COLD_C)
    for segment in climbing:
        if segment.to_c > from_c and read.celsius < segment.to_c - near_c:
            share = max(0.0, read.celsius - from_c) / (segment.to_c - from_c)
            on_curve = segment.starts_at + share * (segment.reached_at - segment.starts_at)
            return max(0, int(read.at - on_curve)) if segment.starts_at < read.at else 0
        from_c = segment.to_c
    return min(late, max(0, read.at - climbing[-1].reached_at))
