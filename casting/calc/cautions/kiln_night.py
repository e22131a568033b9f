"""How long a plan's kilns are on with nobody there, as far as the school's hours tell."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from casting.calc.values.day_input import WorkingDay

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class KilnNight:
    """What a plan knows of its kilns beside the school's hours.

    `alone_min` is the longest stretch with a kiln on and the school closed [min], None if the school's hours are
    not recorded; `top_heat_alone` tells whether any of the top heat falls into such a stretch.
    """

    alone_min: int | None
    top_heat_alone: bool


def kiln_night(on: Iterable[Span], top_heat: Iterable[Span], hours: Sequence[WorkingDay]) -> KilnNight:
    """Return what a plan knows of the hours its kilns are alone.

    Parameters
    ----------
    on : iterable of tuple of int
        From when until when each kiln is on [min from the first pour].
    top_heat : iterable of tuple of int
        From when until when each kiln is at its top temperature [min from the first pour].
    hours : sequence of WorkingDay
        The school's hours; a day that is not among them counts as closed. None at all: they are not recorded.

    Returns
    -------
    KilnNight
        With unknown hours nothing is known to be watched, so the top heat counts as alone.
    """
    if not hours:
        return KilnNight(None, True)
    stretches: list[Span] = []
    for start, end in sorted(piece for span in on for piece in while_closed(span, hours)):
        if stretches and start <= stretches[-1][1]:
            start, end = stretches[-1][0], max(end, stretches.pop()[1])
        stretches.append((start, end))
    longest = max((end - start for start, end in stretches), default=0)
    return KilnNight(longest, any(True for span in top_heat for _piece in while_closed(span, hours)))


def while_closed(span: Span, hours: Sequence[WorkingDay]) -> Iterable[Span]:
    """Yield the parts of a span in which nobody is there.

    Parameters
    ----------
    span : tuple of int
        From when until when [min from the first pour].
    hours : sequence of WorkingDay
        The days on which somebody is there.

    Yields
    ------
    tuple of int
        From when until when, in order.
    """
    now, end = span
    for day in sorted(hours, key=lambda day: day.opens):
        if now < min(day.opens, end):
            yield now, min(day.opens, end)
        now = max(now, day.closes)
    if now < end:
        yield now, end
