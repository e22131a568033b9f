"""Cautions about each kiln's firing, judged by the flasks that stand in it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from casting.calc.cautions.rulebook import raised, told
from casting.calc.cautions.stones import of_stones_firing, spares_stones
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import COLD_C, DayInput, Firing, Kiln
from casting.calc.values.day_plan import Caution, FiringPlan, FlaskPlan
from casting.calc.values.enums import Kind
from casting.calc.values.sentence import say
from casting.calc.values.tolerances import SLACK

SEGMENTS = "segments"


@dataclass(frozen=True, slots=True)
class _Fired:
    """A firing, and what the flasks in it ask of it; no ramp is faster than its kiln."""

    firing: Firing
    widest_mm: float
    resin: bool
    fastest_c_per_h: float


@dataclass(frozen=True, slots=True)
class _Night(_Fired):
    """A kiln's firing in a plan."""

    kiln: Kiln
    load_pct: float
    hottest_c: int


def of_written(firing: Firing, book: Rulebook) -> Iterator[Caution]:
    """Yield the cautions about a firing as it is written, before any plan.

    Parameters
    ----------
    firing : Firing
        The firing, judged by the widest flask and the kinds of pattern that it is for.
    book : Rulebook
        The rules and limits.

    Yields
    ------
    Caution
        Tops, holds, ramps and falls outside the limits of plaster.
    """
    fired = _Fired(firing, firing.max_diameter_mm, Kind.RESIN in firing.kinds, math.inf)
    if spares_stones(firing):
        yield from of_stones_firing(firing, book)
    else:
        yield from _of_top(firing, book)
        yield from _of_top_hold(fired, book)
    yield from _of_ramps(fired, book)
    yield from _of_first_hold(firing, book)
    yield from _of_fall(firing, book)


def of_firings(flasks: Iterable[FlaskPlan], firings: Iterable[FiringPlan], day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about the firings of a plan.

    Parameters
    ----------
    flasks : iterable of FlaskPlan
        The flasks as planned.
    firings : iterable of FiringPlan
        The firing of each kiln in use.
    day : DayInput
        The day.

    Yields
    ------
    Caution
        Tops, holds, ramps and falls outside the limits of plaster. Each firing is judged by the widest flask in its
        kiln and by whether resin is in it; ramps as fast as that kiln runs them.
    """
    for night in _nights(list(flasks), firings, day):
        firing, book = night.firing, day.rulebook
        yield from _of_kiln(night, book)
        if spares_stones(firing):
            yield from of_stones_firing(firing, book)
        else:
            yield from _of_top(firing, book)
            yield from _of_top_hold(night, book)
            yield from _of_load(night, book)
        yield from _of_ramps(night, book)
        yield from _of_first_hold(firing, book)
        yield from _of_fall(firing, book)
        yield from _of_rise(night, book)


def _nights(flasks: list[FlaskPlan], firings: Iterable[FiringPlan], day: DayInput) -> Iterator[_Night]:
    kilns = {kiln.key: kiln for kiln in day.kilns}
    by_key = {firing.key: firing for firing in day.firings}
    for planned in firings:
        inside = [flask for flask in flasks if flask.kiln == planned.kiln]
        widest_mm = max((day.size(flask.size).diameter_mm for flask in inside), default=0.0)
        resin = any(flask.kind is Kind.RESIN for flask in inside)
        kiln, outsides_mm = kilns[planned.kiln], [day.size(flask.size).outside_mm for flask in inside]
        load_pct = kiln.load_pct(outsides_mm, day.rules.kiln_gap_mm) if inside else 0.0
        hottest_c = max((flask.flask_c for flask in inside), default=0)
        yield _Night(by_key[planned.firing], widest_mm, resin, kiln.max_ramp_c_per_h, kiln, load_pct, hottest_c)


def _of_kiln(night: _Night, book: Rulebook) -> Iterator[Caution]:
    """A kiln that does not reach the top of its firing."""
    kiln, firing = night.kiln, night.firing
    if kiln.max_c is not None and not kiln.reaches(firing):
        yield raised(book, "kiln-too-cool", kiln=kiln.called, most=told(kiln.max_c, kiln, "max_c"),
                     firing=firing.called, top=told(firing.top_c, firing, SEGMENTS))  # fmt: skip


def _of_top(firing: Firing, book: Rulebook) -> Iterator[Caution]:
    """The top: too hot or too cool, or held for less than any flask needs."""
    top, hold = firing.top_c, firing.top_hold_min
    # A controller shows whole degrees: 1350 F, which is 732.2 C, is no hotter than 732 C.
    if round(top) > book.limit("firing_top_high_c"):
        yield raised(book, "N-01", firing=firing.called, top=told(top, firing, SEGMENTS))
    elif top < book.limit("firing_top_least_c"):
        yield raised(book, "N-02-stop", firing=firing.called, top=told(top, firing, SEGMENTS))
    elif top < book.limit("firing_top_low_c"):
        yield raised(book, "N-02-warn", firing=firing.called, top=told(top, firing, SEGMENTS))
    if hold < book.limit("firing_top_hold_min"):
        yield raised(book, "N-02-short", firing=firing.called, hold=told(hold, firing, SEGMENTS))


def _of_top_hold(fired: _Fired, book: Rulebook) -> Iterator[Caution]:
    """The top held for less than the kiln's widest flask, or its resin, needs."""
    hold, due = fired.firing.top_hold_min, _top_hold_due(fired, book)
    if book.limit("firing_top_hold_min") <= hold < due:
        wide = say("flasks {wide_mm} mm wide", wide_mm=round(fired.widest_mm))
        what = say("resin") if due > _hold_of_width(fired.widest_mm, book) else wide
        yield raised(book, "N-02-hold", firing=fired.firing.called, hold=told(hold, fired.firing, SEGMENTS),
                     due=due, what=what)  # fmt: skip


def _of_load(night: _Night, book: Rulebook) -> Iterator[Caution]:
    """A kiln so full that it heats slowly, fired no longer than one with room."""
    due = _top_hold_due(night, book)
    longer = [one for one in _holds(book) if one > due]
    if night.load_pct > book.limit("kiln_full_pct") + SLACK and not (longer and night.firing.top_hold_min >= longer[0]):
        yield raised(book, "N-25-load", kiln=night.kiln.called, load=round(night.load_pct))


def _holds(book: Rulebook) -> list[float]:
    """The holds at the top, for small flasks, for larger ones and for the largest [min]."""
    return [book.limit("top_hold_small_min"), book.limit("top_hold_middle_min"), book.limit("top_hold_wide_min")]


def _top_hold_due(fired: _Fired, book: Rulebook) -> float:
    """The minutes that the widest flask of a kiln, or its resin, needs at the top of the firing."""
    by_resin = book.limit("top_hold_middle_min") if fired.resin else 0.0
    return max(_hold_of_width(fired.widest_mm, book), by_resin)


def _hold_of_width(diameter_mm: float, book: Rulebook) -> float:
    """The minutes that flasks of a diameter need at the top of the firing."""
    if diameter_mm > book.limit("top_hold_wide_from_mm"):
        return book.limit("top_hold_wide_min")
    if diameter_mm > book.limit("top_hold_middle_from_mm"):
        return book.limit("top_hold_middle_min")
    return book.limit("top_hold_small_min")


def _of_ramps(fired: _Fired, book: Rulebook) -> Iterator[Caution]:
    """Each climb, as fast as the kiln runs it: too fast for any flask, or for wide ones."""
    firing, now_c = fired.firing, float(COLD_C)
    for segment in firing.segments:
        from_c, now_c = now_c, segment.to_c
        ramp = min(segment.ramp_c_per_h, fired.fastest_c_per_h)
        if segment.to_c <= from_c:
            continue
        if ramp > book.limit("ramp_most_c_per_h"):
            yield raised(book, "N-14-fast", firing=firing.called, ramp=told(ramp, firing, SEGMENTS))
            continue
        early, wide = book.limit("ramp_early_c_per_h"), book.limit("ramp_wide_c_per_h")
        if _dries_wide_flasks(fired.widest_mm, from_c, segment.to_c, book) and ramp > wide:
            yield raised(book, "N-14-wide", firing=firing.called, ramp=told(ramp, firing, SEGMENTS),
                         diameter=round(fired.widest_mm))  # fmt: skip
        elif from_c < book.limit("ramp_early_below_c") and ramp > early:
            yield raised(book, "N-14-warn", firing=firing.called, ramp=told(ramp, firing, SEGMENTS))


def _dries_wide_flasks(widest_mm: float, from_c: float, to_c: float, book: Rulebook) -> bool:
    """Whether a climb passes the heats at which wide flasks dry, with such a flask in the kiln."""
    passes = from_c < book.limit("ramp_wide_to_c") and to_c > book.limit("ramp_wide_from_c")
    return passes and widest_mm >= book.limit("ramp_wide_flask_mm") - SLACK


def _of_first_hold(firing: Firing, book: Rulebook) -> Iterator[Caution]:
    """The hold in which steam and wax leave: missing, or shorter than is usual."""
    low_c, high_c = book.limit("steam_hold_from_c"), book.limit("steam_hold_to_c")
    hold = max((one.hold_min for one in firing.segments if low_c <= one.to_c <= high_c), default=0.0)
    if hold < book.limit("steam_hold_least_min"):
        yield raised(book, "N-14-hold", firing=firing.called)
    elif hold < book.limit("steam_hold_usual_min"):
        yield raised(book, "N-14-short", firing=firing.called, hold=told(hold, firing, SEGMENTS))


def _of_fall(firing: Firing, book: Rulebook) -> Iterator[Caution]:
    """A fall within the firing, after its top, to where plaster cracks."""
    targets = [segment.to_c for segment in firing.segments]
    lowest = min(targets[targets.index(firing.top_c) :])
    cracks_c, keep_c = book.limit("plaster_cracks_below_c"), book.limit("flask_keep_c")
    low = told(lowest, firing, SEGMENTS)
    if lowest < cracks_c:
        yield raised(book, "N-04-fall-stop", firing=firing.called, low=low, plaster_cracks_below_c=cracks_c)
    elif lowest < keep_c:
        yield raised(book, "N-04-fall", firing=firing.called, low=low, flask_keep_c=keep_c)


def _of_rise(night: _Night, book: Rulebook) -> Iterator[Caution]:
    """A firing that ends cooler than a flask is poured, so that its kiln would heat up again."""
    ends_c = night.firing.segments[-1].to_c
    if ends_c < night.firing.top_c and night.hottest_c > ends_c + book.limit("rise_after_top_most_c"):
        yield raised(book, "N-04-rise", kiln=night.kiln.called, firing=night.firing.called,
                     low=told(ends_c, night.firing, SEGMENTS), heat=night.hottest_c)  # fmt: skip
