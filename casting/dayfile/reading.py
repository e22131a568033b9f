"""A day file as the values that a plan is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from casting.calc.values.day_input import Alloy, DayInput, Investment, Wax
from casting.dayfile import json_text
from casting.dayfile.equipment import read_firing, read_kiln, read_rules, read_size, refuse_too_hot
from casting.dayfile.materials import read_alloy, read_investment, read_pattern
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf
from casting.dayfile.times import read_hours, read_pour_at, read_zone
from casting.dayfile.validation import Fields, read_list
from casting.dayfile.waxes import read_fixed, read_held, read_previous, read_wax

FORMAT = "casting-day/1"
DAY_KEYS = (
    "format",
    "timezone",
    "pour_at",
    "elevation_m",
    "hours",
    "alloys",
    "patterns",
    "investment",
    "flask_sizes",
    "kilns",
    "firings",
    "rules",
    "waxes",
    "held",
    "previous",
    "fixed",
)


@dataclass(frozen=True, slots=True)
class Day:
    """A day to plan, and when and where its first pour is."""

    day: DayInput
    pour_at: datetime
    zone: ZoneInfo


def read(text: str | bytes) -> Day:
    """Return the day of a day file.

    Parameters
    ----------
    text : str or bytes
        The file; bytes must be UTF-8.

    Returns
    -------
    Day
        What a plan is made from; what the file leaves out is the shelf's.

    Raises
    ------
    Refused
        If anything in the file is wrong, used or not: one line, the place first.
    """
    return _day(json_text.load(text))


def day_of(values: Mapping[str, object]) -> Day:
    """Return the day of values laid out like a day file, without writing and parsing its text.

    Parameters
    ----------
    values : mapping of str to object
        The keys of a day file with plain values: dict, list, str, number, bool or None.

    Returns
    -------
    Day
        The same as `read` returns for the JSON text of these values.

    Raises
    ------
    Refused
        As in `read`.
    """
    return _day(dict(values))


def _day(values: object) -> Day:
    fields = Fields(values, "", DAY_KEYS)
    fields.choice("format", (FORMAT,))
    zone = read_zone(fields.take("timezone"), "timezone")
    pour_at = read_pour_at(fields.take("pour_at"), "pour_at", zone)
    return Day(_day_input(fields, pour_at, zone), pour_at, zone)


def _day_input(fields: Fields, pour_at: datetime, zone: ZoneInfo) -> DayInput:
    given, of_shelf = fields.values, shelf()
    alloys = {
        alloy.key: alloy for alloy in read_list(given.get("alloys", of_shelf.offered_alloys), "alloys", read_alloy)
    }
    patterns = {
        pattern.key: pattern
        for pattern in read_list(given.get("patterns", of_shelf.rows("patterns")), "patterns", read_pattern)
    }
    investment = read_investment(given.get("investment", of_shelf.one("investment")), "investment")
    sizes = read_list(given.get("flask_sizes", of_shelf.rows("flask_sizes")), "flask_sizes", read_size)
    firings = read_list(given.get("firings", of_shelf.rows("firings")), "firings", read_firing)
    refuse_too_hot(firings, investment)
    waxes = read_list(fields.take("waxes"), "waxes", lambda value, place: read_wax(value, place, alloys, patterns))
    keys = {wax.key for wax in waxes}
    previous = read_previous(given.get("previous", {}), "previous", {size.key for size in sizes})
    missing = _missing_prices(alloys, investment, waxes)
    return DayInput(
        alloys={key: replace(alloy, price_per_g=alloy.price_per_g or 0.0) for key, alloy in alloys.items()},
        patterns=patterns,
        investment=replace(investment, price_per_kg=investment.price_per_kg or 0.0),
        flask_sizes=sizes,
        kilns=read_list(given.get("kilns", of_shelf.rows("kilns")), "kilns", read_kiln),
        firings=firings,
        rules=read_rules(given.get("rules", {}), "rules", of_shelf.one("rules")),
        waxes=tuple(sorted(waxes, key=lambda wax: wax.key)),
        held=read_held(given.get("held", {}), "held", keys),
        previous=previous,
        fixed=read_fixed(given.get("fixed", []), "fixed", previous, keys),
        hours=read_hours(given.get("hours"), "hours", pour_at, zone),
        elevation_m=fields.number("elevation_m", least=-500, most=9000, default=0),
        missing_prices=missing,
        rulebook=rulebook(),
    )


def _missing_prices(alloys: dict[str, Alloy], investment: Investment, waxes: tuple[Wax, ...]) -> tuple[str, ...]:
    """Return the names of what the day uses and nobody has priced."""
    used = sorted({wax.alloy for wax in waxes})
    names = [alloys[key].name for key in used if alloys[key].price_per_g is None]
    return (*names, *([f"investment {investment.key}"] if investment.price_per_kg is None else []))
