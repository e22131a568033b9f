"""The vacuum gauge of a school: the reading that it has to reach, and whether the recorded pump gets there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from casting.calc.cautions.rulebook import raised
from casting.calc.cautions.school_record import FACTS, SafetyRecord
from casting.calc.quantities.vacuum import Gauge, air_pressure_mbar
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_plan import Caution
from casting.calc.values.sentence import say, together


def unknown_of_gauge(record: SafetyRecord) -> tuple[str, ...]:
    """Return what is not recorded of what the gauge's number needs.

    Parameters
    ----------
    record : SafetyRecord
        The school's facts.

    Returns
    -------
    tuple of str
        Names of the facts; empty if the number is known. An absolute gauge needs no height.
    """
    needed = ("gauge_unit", "gauge_kind") + (("elevation_m",) if record.gauge_kind != "absolute" else ())
    return tuple(name for name in needed if getattr(record, name) is None)


def gauge_of(record: SafetyRecord) -> tuple[Gauge, float] | None:
    """Return the school's gauge, and the air's pressure at its height.

    Parameters
    ----------
    record : SafetyRecord
        The school's facts.

    Returns
    -------
    tuple of Gauge and float, or None
        The gauge and the pressure [mbar]; that of sea level if the height is unknown to an absolute gauge, which
        does not depend on it. None if the gauge's number cannot be known.
    """
    if unknown_of_gauge(record):
        return None
    return Gauge(str(record.gauge_unit), record.gauge_kind == "absolute"), air_pressure_mbar(record.elevation_m or 0)


def vacuum_cautions(record: SafetyRecord, book: Rulebook) -> Iterator[Caution]:
    """Yield the cautions about gauge and pump.

    Parameters
    ----------
    record : SafetyRecord
        The school's facts; None counts as the worse case.
    book : Rulebook
        The rules and limits.

    Yields
    ------
    Caution
        One at most: something not recorded, a best reading that the air cannot give, or one that is too little.
    """
    found, best = gauge_of(record), record.pump_best
    if found is None or best is None:
        caution = raised(book, "vacuum-untried")
        names = (*unknown_of_gauge(record), *(("pump_best",) if best is None else ()))
        asked = say("Not recorded, ask: {facts:,}.", facts=[FACTS[name].short for name in names])
        yield replace(caution, text=together([caution.text, asked]))
        return
    gauge, air_mbar = found
    said, target_mbar = say("{best} {unit}", best=best, unit=gauge.unit), book.limit("vacuum_absolute_mbar")
    zero = Gauge(gauge.unit, absolute=True)
    if zero.pressure_mbar(best, air_mbar) > air_mbar + book.limit("vacuum_weather_mbar"):
        most = say("{most:.1f} {unit}", most=zero.reading(air_mbar, air_mbar), unit=gauge.unit)
        height = record.elevation_m
        where = say("at the sea") if height is None else say("at {height_m} m", height_m=height)
        yield raised(book, "vacuum-impossible", best=said, most=most, where=where)
    elif not gauge.reaches(best, target_mbar, air_mbar):
        target = say("{target} {unit}", target=gauge.reading_to_reach(target_mbar, air_mbar), unit=gauge.unit)
        yield raised(book, "vacuum-weak", best=said, target=target)
