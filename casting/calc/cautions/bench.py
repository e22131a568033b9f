"""Cautions about flask sizes, kilns and the flasks of a plan."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from casting.calc.cautions.rulebook import raised, told
from casting.calc.quantities.flask_heat import hot_at_quench, lost_c
from casting.calc.quantities.melt import cup_for
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution, FlaskPlan
from casting.calc.values.enums import Kind
from casting.calc.values.marked_text import mark
from casting.calc.values.sentence import say, starred
from casting.calc.values.tolerances import SLACK

GATES = ("R-21", "R-22", "R-23", "N-07", "N-10", "white-plaster")
QUENCH, CUPS = "quench_min_by_diameter", ("crucible_ml", "crucibles_ml")


def _kinds_of(day: DayInput) -> frozenset[Kind]:
    """Return the kinds of pattern that the day's waxes are of; of all that is offered, if there is no wax yet."""
    used = {wax.pattern for wax in day.waxes} or set(day.patterns)
    return frozenset(day.patterns[key].kind for key in used)


def of_sizes(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about plaster beside and over the waxes.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One for the wall, one for resin's wall, one for each size with too little cover, one for each perforated size.
    """
    book = day.rulebook
    if day.rules.wall_mm < book.limit("wall_least_mm") - SLACK:
        yield raised(book, "N-13-wall", wall=told(day.rules.wall_mm, day.rules, "wall_mm"))
    if Kind.RESIN in _kinds_of(day) and day.rules.resin_wall_mm < book.limit("resin_wall_least_mm") - SLACK:
        yield raised(book, "N-13-resin", wall=told(day.rules.resin_wall_mm, day.rules, "resin_wall_mm"))
    for size in day.flask_sizes:
        least = size.diameter_mm * book.limit("cover_least_pct") / 100
        if size.cover_mm < book.limit("cover_least_mm") - SLACK:
            yield raised(book, "N-13-stop", size=size.called, cover=told(size.cover_mm, size, "cover_mm"))
        elif size.cover_mm < least - SLACK:
            yield raised(book, "N-13-warn", size=size.called, cover=told(size.cover_mm, size, "cover_mm"), limit=least)
        if size.wall == "perforated":
            high, fill = (told(getattr(size, figure), size, figure) for figure in ("sleeve_height_mm", "fill_mm"))
            yield raised(book, "perforated-sleeve", size=size.called, high=high, fill=fill)


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
            yield raised(day.rulebook, "N-25", kiln=kiln.called, gap=told(kiln.wall_gap_mm, kiln, "wall_gap_mm"))


def of_mixes(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about the crucible's fill and the powder's allowance.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        About a house rule that fills the crucible too full; about too little or too much powder to a flask.
    """
    book, fill, allowance = day.rulebook, day.rules.crucible_fill_pct, day.investment.allowance_pct
    if fill > book.limit("crucible_most_pct") + SLACK:
        yield raised(book, "N-08-warn", fill=told(fill, day.rules, "crucible_fill_pct"))
    if allowance < book.limit("allowance_least_pct") - SLACK:
        yield raised(book, "powder-short", allowance=told(allowance, day.investment, "allowance_pct"))
    elif allowance > book.limit("allowance_most_pct") + SLACK:
        yield raised(book, "powder-long", allowance=told(allowance, day.investment, "allowance_pct"))


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
        About its temperature, its metal, its weight, its core and its quench.
    """
    book, label, alloy = day.rulebook, flask.label, day.alloys[flask.alloy]
    yield from _of_heat(flask, day)
    cup_ml = cup_for(flask.charge_g, alloy, day.rules)
    if flask.charge_g < cup_ml * alloy.specific_gravity * book.limit("crucible_least_pct") / 100 - SLACK:
        yield raised(book, "N-08", flask=label, charge=flask.charge_g, cup=told(cup_ml, day.rules, *CUPS))
    # The steel is not recorded: powder and metal alone, so the true weight is higher.
    mass_kg = (flask.powder_g + flask.charge_g) / 1000
    if mass_kg > book.limit("carry_most_kg"):
        yield raised(book, "N-09-stop", flask=label, mass=round(mass_kg, 1))
    elif mass_kg > book.limit("carry_with_care_kg"):
        yield raised(book, "N-09-warn", flask=label, mass=round(mass_kg, 1))
    yield from _of_quench(flask, day)


def _of_heat(flask: FlaskPlan, day: DayInput) -> Iterator[Caution]:
    """The flask's temperature: colder than plaster stands, or outside its metal's band."""
    book, label, alloy, heat = day.rulebook, flask.label, day.alloys[flask.alloy], flask.flask_c
    band = f"flask_c.{flask.section.value}"
    planned = told(heat, alloy, band)
    if heat < book.limit("flask_coldest_c"):
        yield raised(book, "N-04-cold", flask=label, heat=planned)
    elif heat < book.limit("plaster_cracks_below_c"):
        yield raised(book, "N-04-crack", flask=label, heat=planned)
    elif heat < book.limit("flask_keep_c"):
        yield raised(book, "N-04-low", flask=label, heat=planned)
    low, high = alloy.flask_c[flask.section]
    if not low - 1 < heat < high + 1:
        yield raised(
            book, "N-04-band", flask=label, heat=planned, low=told(low, alloy, band), high=told(high, alloy, band)
        )


def _waited(flask: FlaskPlan, day: DayInput) -> float:
    """The minutes from the end of a flask's pour to its quench."""
    return flask.quench_at - flask.out_at - day.rules.pour_min


def _of_quench(flask: FlaskPlan, day: DayInput) -> Iterator[Caution]:
    """The flask's quench: later than its metal allows, or so soon that the button may be red."""
    book, alloy, waited = day.rulebook, day.alloys[flask.alloy], _waited(flask, day)
    by, usual = alloy.quench_by_min, book.limit("quench_usual_min")
    if by is not None and waited > by + SLACK:
        yield raised(book, "quench-late", flask=flask.label, alloy=alloy.called,
                     waited=told(waited, alloy, QUENCH), limit=told(by, alloy, "quench_by_min"))  # fmt: skip
    own = by is not None and by < usual and waited >= book.limit("quench_least_min")
    if waited < usual and not own:
        yield raised(book, "N-07-warn", flask=flask.label, waited=told(waited, alloy, QUENCH))
    yield from _of_core(flask, day)


def _of_core(flask: FlaskPlan, day: DayInput) -> Iterator[Caution]:
    """The flask's core: under its band before the metal is in, or still hot at its quench."""
    book, alloy, size = day.rulebook, day.alloys[flask.alloy], day.size(flask.size)
    band = f"flask_c.{flask.section.value}"
    out_min = min(book.limit("kiln_to_pour_min"), day.rules.pour_min)
    core_c = flask.flask_c - lost_c(size, flask.flask_c, out_min, book)
    if core_c < alloy.flask_c[flask.section][0] - book.limit("core_within_c"):
        yield raised(book, "core-cools", flask=flask.label, core=told(math.floor(core_c), alloy, band))
    if flask.kind is Kind.STONES:  # never quenched
        return
    if hot := hot_at_quench(size, flask.flask_c, flask.quench_at - flask.out_at, book):
        core_c, out_min = hot
        due = math.ceil(out_min - day.rules.pour_min)
        yield raised(book, "core-hot", flask=flask.label, core=told(math.ceil(core_c), alloy, band),
                     due=told(due, alloy, band), waited=told(_waited(flask, day), alloy, QUENCH))  # fmt: skip


def _full_time(day: DayInput, flasks: Iterable[FlaskPlan]) -> str:
    """The minutes from pour to quench: those of the flasks, or of all that is offered while there is no plan."""
    waits = [(_waited(flask, day), mark(QUENCH, day.alloys[flask.alloy].from_memory)) for flask in flasks] or [
        (minutes, mark(QUENCH, alloy.from_memory))
        for alloy in day.alloys.values()
        for _diameter_mm, minutes in alloy.quench_min_by_diameter
    ]
    if not waits:
        return say("at least {least} minutes", least=day.rulebook.limit("quench_usual_min"))
    least, most = min(waits)[0], max(waits)[0]
    first, last = (starred(minutes, dict(sorted(waits))[minutes]) for minutes in (least, most))
    if least == most:
        return say("{minutes} minutes", minutes=last)
    return say("{least} to {most} minutes", least=first, most=last)


def of_day_gates(day: DayInput, flasks: Iterable[FlaskPlan] = ()) -> Iterator[Caution]:
    """Yield the cautions of every pour, whatever the day.

    Parameters
    ----------
    day : DayInput
        The day, for the words.
    flasks : iterable of FlaskPlan
        The flasks as planned, for the minutes of their quenches; none before there is a plan.

    Yields
    ------
    Caution
        Wet flask, vacuum, quench, red button, old plaster mix, white plaster.
    """
    for rule in GATES:
        figures = {"minutes": _full_time(day, flasks)} if rule == "N-07" else {}
        yield raised(day.rulebook, rule, **figures)
