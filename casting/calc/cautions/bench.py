"""Cautions about firings, flask sizes, kilns and the flasks of a plan."""

from __future__ import annotations

from collections.abc import Iterator

from casting.calc.cautions.rulebook import raised
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import COLD_C, DayInput, Firing
from casting.calc.values.day_plan import Caution, FlaskPlan
from casting.calc.values.tolerances import SLACK

GATES = ("R-21", "R-22", "R-23", "N-07", "N-10", "white-plaster")


def of_firing(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about the firings of a day.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        Tops, holds and ramps outside the limits of plaster; ramps as fast as the fastest kiln runs them.
    """
    fastest = max((kiln.max_ramp_c_per_h for kiln in day.kilns), default=0.0)
    for firing in day.firings:
        yield from _of_top(firing, day)
        yield from _of_ramps(firing, fastest, day)


def _of_top(firing: Firing, day: DayInput) -> Iterator[Caution]:
    book = day.rulebook
    top = max(segment.to_c for segment in firing.segments)
    hold = sum(segment.hold_min for segment in firing.segments if segment.to_c >= top)
    if top > book.limit("firing_top_high_c"):
        yield raised(book, "N-01", firing=firing.key, top=top)
    elif top < book.limit("firing_top_least_c"):
        yield raised(book, "N-02-stop", firing=firing.key, top=top)
    elif top < book.limit("firing_top_low_c"):
        yield raised(book, "N-02-warn", firing=firing.key, top=top)
    if hold < book.limit("firing_top_hold_min"):
        yield raised(book, "N-02-short", firing=firing.key, hold=hold)


def _of_ramps(firing: Firing, fastest: float, day: DayInput) -> Iterator[Caution]:
    book, now_c = day.rulebook, float(COLD_C)
    for segment in firing.segments:
        from_c, now_c = now_c, segment.to_c
        ramp = min(segment.ramp_c_per_h, fastest)
        if segment.to_c <= from_c:
            continue
        if ramp > book.limit("ramp_most_c_per_h"):
            yield raised(book, "N-14-fast", firing=firing.key, ramp=ramp)
            continue
        limit = _ramp_limit(firing, from_c, segment.to_c, ramp, book)
        if limit is not None:
            yield raised(book, "N-14-warn", firing=firing.key, ramp=ramp, limit=limit)
    low_c, high_c = book.limit("steam_hold_from_c"), book.limit("steam_hold_to_c")
    if not any(low_c <= segment.to_c <= high_c and segment.hold_min > 0 for segment in firing.segments):
        yield raised(book, "N-14-hold", firing=firing.key)


def _ramp_limit(firing: Firing, from_c: float, to_c: float, ramp: float, book: Rulebook) -> float | None:
    """The limit that a ramp passes: that of a cold kiln, or that of wide flasks; None if it passes neither."""
    early, wide = book.limit("ramp_early_c_per_h"), book.limit("ramp_wide_c_per_h")
    if from_c < book.limit("ramp_early_below_c") and ramp > early:
        return early
    between = from_c < book.limit("ramp_wide_to_c") and to_c > book.limit("ramp_wide_from_c")
    return wide if firing.max_diameter_mm >= book.limit("ramp_wide_flask_mm") and between and ramp > wide else None


def of_sizes(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about plaster beside and over the waxes.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One for the wall, one for each size with too little cover.
    """
    book = day.rulebook
    if day.rules.wall_mm < book.limit("wall_least_mm") - SLACK:
        yield raised(book, "N-13-wall", wall=day.rules.wall_mm)
    for size in day.flask_sizes:
        least = size.diameter_mm * book.limit("cover_least_pct") / 100
        if size.cover_mm < book.limit("cover_least_mm") - SLACK:
            yield raised(book, "N-13-stop", size=size.called, cover=size.cover_mm)
        elif size.cover_mm < least - SLACK:
            yield raised(book, "N-13-warn", size=size.called, cover=size.cover_mm, limit=least)


def of_kilns(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about the gap between flasks and kiln walls.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One for each kiln with too small a gap.
    """
    for kiln in day.kilns:
        if kiln.wall_gap_mm < day.rulebook.limit("kiln_gap_mm") - SLACK:
            yield raised(day.rulebook, "N-25", kiln=kiln.called, gap=kiln.wall_gap_mm)


def of_flask(flask: FlaskPlan, day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about one flask of a plan.

    Parameters
    ----------
    flask : FlaskPlan
        The flask as planned.
    day : DayInput
        The day.

    Yields
    ------
    Caution
        About its temperature, its metal, its weight and its quench.
    """
    book, label, alloy = day.rulebook, flask.label, day.alloys[flask.alloy]
    if flask.flask_c < book.limit("flask_coldest_c"):
        yield raised(book, "N-04-cold", flask=label, heat=flask.flask_c)
    low, high = alloy.flask_c[flask.section]
    if not low - 1 < flask.flask_c < high + 1:
        yield raised(book, "N-04-band", flask=label, heat=flask.flask_c, low=low, high=high)
    if flask.charge_g < day.rules.crucible_ml * alloy.specific_gravity * book.limit("crucible_least_pct") / 100 - SLACK:
        yield raised(book, "N-08", flask=label, charge=flask.charge_g)
    # The steel is not recorded: powder and metal alone, so the true weight is higher.
    mass_kg = (flask.powder_g + flask.charge_g) / 1000
    if mass_kg > book.limit("carry_most_kg"):
        yield raised(book, "N-09-stop", flask=label, mass=round(mass_kg, 1))
    elif mass_kg > book.limit("carry_with_care_kg"):
        yield raised(book, "N-09-warn", flask=label, mass=round(mass_kg, 1))
    waited = flask.quench_at - flask.out_at - day.rules.pour_min
    if alloy.quench_by_min is not None and waited > alloy.quench_by_min + SLACK:
        yield raised(book, "quench-late", flask=label, alloy=alloy.name, waited=waited, limit=alloy.quench_by_min)


def of_day_gates(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions of every pour, whatever the day.

    Parameters
    ----------
    day : DayInput
        The day, for the words.

    Yields
    ------
    Caution
        Wet flask, vacuum, quench, red button, old plaster mix, white plaster.
    """
    for rule in GATES:
        yield raised(day.rulebook, rule)
