"""Cautions about firings, flask sizes, kilns and the flasks of a plan."""

from __future__ import annotations

from collections.abc import Iterator

from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import DayInput, Firing
from casting.calc.values.day_plan import Caution, FlaskPlan
from casting.calc.values.tolerances import SLACK

TOP_WARN_C = 732  # a kiln maker's lost-wax programme (second hand)
TOP_LOW_WARN_C, TOP_LOW_STOP_C, TOP_HOLD_MIN = 677, 500, 60  # published recipes; the school's judgement
RAMP_STOP, RAMP_WARN, RAMP_WIDE_WARN = 500, 280, 170  # C/h: a published programme (second hand); judgement
EARLY_C, WIDE_FROM_C, WIDE_TO_C, WIDE_MM = 300, 150, 400, 76  # where those ramps count; flasks of 3 in and over
HOLD_FROM_C, HOLD_TO_C = 100, 200  # "near 150 C"
COLD_FLASK_C = 200  # HSE for the principle; the figure is the school's judgement
CRUCIBLE_LOW_PCT = 20  # the school's judgement
CARRY_WARN_KG, CARRY_STOP_KG = 3, 7  # NIOSH (second hand), HSE from memory, the school's judgement
WALL_MM, COVER_STOP_MM, COVER_SHARE = 6, 6, 0.25  # 6.4 and 13 published; the rest the school's judgement
KILN_GAP_MM = 25  # the school's judgement
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
        Tops, holds and ramps outside what powder bears; ramps as the fastest kiln can run them.
    """
    fastest = max((kiln.max_ramp_c_per_h for kiln in day.kilns), default=0.0)
    for firing in day.firings:
        yield from _of_top(firing, day)
        yield from _of_ramps(firing, fastest, day)


def _of_top(firing: Firing, day: DayInput) -> Iterator[Caution]:
    said = day.rules_said
    top = max(segment.to_c for segment in firing.segments)
    hold = sum(segment.hold_min for segment in firing.segments if segment.to_c >= top)
    if top > TOP_WARN_C:
        yield raised(said, "N-01", firing=firing.key, top=top, limit=TOP_WARN_C)
    elif top < TOP_LOW_STOP_C:
        yield raised(said, "N-02-stop", firing=firing.key, top=top, limit=TOP_LOW_STOP_C)
    elif top < TOP_LOW_WARN_C:
        yield raised(said, "N-02-warn", firing=firing.key, top=top, limit=TOP_LOW_WARN_C)
    if hold < TOP_HOLD_MIN:
        yield raised(said, "N-02-short", firing=firing.key, hold=hold, limit=TOP_HOLD_MIN)


def _of_ramps(firing: Firing, fastest: float, day: DayInput) -> Iterator[Caution]:
    now_c = 20.0
    for segment in firing.segments:
        from_c, now_c = now_c, segment.to_c
        ramp, figures = min(segment.ramp_c_per_h, fastest), {"firing": firing.key}
        if segment.to_c <= from_c:
            continue
        if ramp > RAMP_STOP:
            yield raised(day.rules_said, "N-14-fast", ramp=ramp, **figures)
        elif from_c < EARLY_C and ramp > RAMP_WARN:
            yield raised(day.rules_said, "N-14-warn", ramp=ramp, limit=RAMP_WARN, **figures)
        elif _wide(firing) and from_c < WIDE_TO_C and segment.to_c > WIDE_FROM_C and ramp > RAMP_WIDE_WARN:
            yield raised(day.rules_said, "N-14-warn", ramp=ramp, limit=RAMP_WIDE_WARN, **figures)
    if not any(HOLD_FROM_C <= each.to_c <= HOLD_TO_C and each.hold_min > 0 for each in firing.segments):
        yield raised(day.rules_said, "N-14-hold", firing=firing.key)


def _wide(firing: Firing) -> bool:
    return firing.max_diameter_mm >= WIDE_MM


def of_sizes(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about plaster to the wall and over the waxes.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One for the wall, one for each size with too little cover.
    """
    if day.rules.wall_mm < WALL_MM - SLACK:
        yield raised(day.rules_said, "N-13-wall", wall=day.rules.wall_mm, limit=WALL_MM)
    for size in day.flask_sizes:
        least = size.diameter_mm * COVER_SHARE
        if size.cover_mm < COVER_STOP_MM - SLACK:
            yield raised(day.rules_said, "N-13-stop", size=size.key, cover=size.cover_mm, limit=COVER_STOP_MM)
        elif size.cover_mm < least - SLACK:
            yield raised(day.rules_said, "N-13-warn", size=size.key, cover=size.cover_mm, limit=least)


def of_kilns(day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about room to the walls of the kilns.

    Parameters
    ----------
    day : DayInput
        The day.

    Yields
    ------
    Caution
        One for each kiln with too little.
    """
    for kiln in day.kilns:
        if kiln.wall_gap_mm < KILN_GAP_MM - SLACK:
            yield raised(day.rules_said, "N-25", kiln=kiln.key, gap=kiln.wall_gap_mm, limit=KILN_GAP_MM)


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
        Its heat, its metal, its weight and its quench.
    """
    said, label, alloy = day.rules_said, flask.label, day.alloys[flask.alloy]
    if flask.flask_c < COLD_FLASK_C:
        yield raised(said, "N-04-cold", flask=label, heat=flask.flask_c, limit=COLD_FLASK_C)
    low, high = alloy.flask_c[flask.section]
    if not low - 1 < flask.flask_c < high + 1:
        yield raised(said, "N-04-band", flask=label, heat=flask.flask_c, low=low, high=high)
    if flask.charge_g < day.rules.crucible_ml * alloy.specific_gravity * CRUCIBLE_LOW_PCT / 100 - SLACK:
        yield raised(said, "N-08", flask=label, charge=flask.charge_g)
    # The steel is not recorded: powder and metal alone, so the true weight is higher.
    mass_kg = (flask.powder_g + flask.charge_g) / 1000
    if mass_kg > CARRY_WARN_KG:
        rule = "N-09-stop" if mass_kg > CARRY_STOP_KG else "N-09-warn"
        yield raised(said, rule, flask=label, mass=round(mass_kg, 1))
    waited = flask.quench_at - flask.out_at - day.rules.pour_min
    if alloy.quench_by_min is not None and waited > alloy.quench_by_min + SLACK:
        figures = {"alloy": alloy.name, "waited": waited, "limit": alloy.quench_by_min}
        yield raised(said, "quench-late", flask=label, **figures)


def of_day_gates(day: DayInput) -> Iterator[Caution]:
    """Yield what is asked at every pour, whatever the day.

    Parameters
    ----------
    day : DayInput
        The day, for the words.

    Yields
    ------
    Caution
        Wet mould, vacuum, red button, old slurry, white plaster.
    """
    for rule in GATES:
        yield raised(day.rules_said, rule)
