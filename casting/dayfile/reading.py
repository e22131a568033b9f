"""Reader of a day file: its text or values as the `Day` that a plan is made from."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from casting.calc.values.day_input import Alloy, DayInput, FlaskSize, Investment, Previous, Wax
from casting.dayfile import json_text
from casting.dayfile.done import read_done
from casting.dayfile.equipment import read_firing, read_kiln, read_rules, read_size
from casting.dayfile.materials import read_alloy, read_investment, read_pattern
from casting.dayfile.placed import read_kept_out, read_placed, read_reach_overruled, refuse_torn
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import shelf
from casting.dayfile.times import local_clock, read_hours, read_pour_at, read_zone
from casting.dayfile.validation import Reader, T, check_object, choice, nullable, number, read_fields, read_list
from casting.dayfile.waxes import read_fixed, read_held, read_previous, read_wax

FORMAT = "casting-day/1"
DAYS_KEPT = 64
"""So many days are kept in a process; one of eighty waxes takes about 100 KB."""


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


@lru_cache(maxsize=DAYS_KEPT)
def read_kept(text: str) -> Day:
    """Return the day of a day file that is read again and again, as that of a plan: the same for the same text."""
    return read(text)


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


NAME_WAXES = ("held", "previous", "fixed", "placed", "kept_out", "reach_overruled")
"""The keys of a day file whose values name waxes, so that they are read after them."""


def day_of_kept(values: Mapping[str, object]) -> Day:
    """Return the same day as `day_of`, for values read again and again with other waxes: all but these is read once.

    Raises `Refused` as `day_of` does, of the waxes only if all else is right.
    """
    if any(values.get(name) for name in NAME_WAXES):
        return day_of(values)
    given, rest = _kept(json.dumps({**values, "waxes": []}))
    waxes = _waxes_of(values["waxes"], given)
    missing = _missing_prices(_by_key(given["alloys"]), given["investment"], waxes)
    return replace(rest, day=replace(rest.day, waxes=waxes, missing_prices=missing))


def _list_of(read_one: Reader[T]) -> Reader[tuple[T, ...]]:
    return lambda value, place: read_list(value, place, read_one)


def _as_it_stands(value: object, place: str) -> object:
    """Return a value that is read later, because it depends on others."""
    return value


DAY: Mapping[str, Reader[Any]] = {
    "format": choice((FORMAT,)),
    "timezone": read_zone,
    "pour_at": _as_it_stands,
    "elevation_m": number(least=-500, most=9000),
    "hours": _as_it_stands,
    "alloys": _list_of(read_alloy),
    "patterns": _list_of(read_pattern),
    "investment": read_investment,
    "flask_sizes": _list_of(read_size),
    "kilns": _list_of(read_kiln),
    "firings": _as_it_stands,
    "rules": lambda value, place: read_rules(value, place, shelf().one("rules")),
    "waxes": _as_it_stands,
    "held": _as_it_stands,
    "previous": _as_it_stands,
    "fixed": _as_it_stands,
    "now": _as_it_stands,
    "invested_at": _as_it_stands,
    "poured": _as_it_stands,
    "kiln_on_at": _as_it_stands,
    "charged_g": _as_it_stands,
    "spilled": _as_it_stands,
    "placed": _as_it_stands,
    "kept_out": _as_it_stands,
    "reach_overruled": _as_it_stands,
    "gloss_off_min": nullable(number(least=1, most=60, mend="give minutes from powder into water")),
}


def _day(values: object) -> Day:
    return _day_given(_given(values))


def _given(values: object) -> dict[str, Any]:
    return read_fields({**_usual(), **check_object(values, "")}, "", DAY)


@lru_cache(maxsize=DAYS_KEPT)
def _kept(text: str) -> tuple[Mapping[str, Any], Day]:
    given = _given(json.loads(text))
    return given, _day_given(given)


def _day_given(given: Mapping[str, Any]) -> Day:
    zone: ZoneInfo = given["timezone"]
    pour_at = read_pour_at(given["pour_at"], "pour_at", zone)
    return Day(_day_input(given, pour_at, zone), pour_at, zone)


def _usual() -> dict[str, object]:
    """Return what a day has where its file says nothing."""
    lists = ("patterns", "flask_sizes", "kilns", "firings")
    return {
        "elevation_m": 0,
        "hours": None,
        "alloys": shelf().offered_alloys,
        "investment": shelf().one("investment"),
        "rules": {},
        "held": {},
        "previous": {},
        "fixed": [],
        "now": None,
        "invested_at": {},
        "poured": [],
        "kiln_on_at": {},
        "charged_g": {},
        "spilled": [],
        "placed": [],
        "kept_out": [],
        "reach_overruled": {},
        "gloss_off_min": None,
        **{key: shelf().rows(key) for key in lists},
    }


def _day_input(given: Mapping[str, Any], pour_at: datetime, zone: ZoneInfo) -> DayInput:
    alloys = _by_key(given["alloys"])
    investment: Investment = given["investment"]
    sizes, kilns = given["flask_sizes"], {kiln.key for kiln in given["kilns"]}
    firings = read_list(given["firings"], "firings", lambda value, place: read_firing(value, place, investment.max_c))
    waxes = _waxes_of(given["waxes"], given)
    keys = {wax.key for wax in waxes}
    previous = read_previous(given["previous"], "previous", {size.key for size in sizes}, kilns)
    fixed = read_fixed(given["fixed"], "fixed", previous, keys)
    done = read_done(given, fixed, kilns, pour_at, zone)
    held = read_held(given["held"], "held", keys)
    by_hand = _by_hand(given, {size.key: size for size in sizes}, {one: previous[one] for one in fixed}, held, keys)
    return DayInput(
        alloys={key: replace(alloy, price_per_g=alloy.price_per_g or 0.0) for key, alloy in alloys.items()},
        patterns=_by_key(given["patterns"]),
        investment=replace(investment, price_per_kg=investment.price_per_kg or 0.0),
        flask_sizes=sizes,
        kilns=given["kilns"],
        firings=firings,
        rules=given["rules"],
        waxes=waxes,
        held=held,
        previous=previous,
        fixed=fixed,
        hours=read_hours(given["hours"], "hours", pour_at, zone),
        elevation_m=given["elevation_m"],
        missing_prices=_missing_prices(alloys, investment, waxes),
        rulebook=rulebook(),
        gloss_off_min=given["gloss_off_min"],
        clock=local_clock(pour_at, zone),
        **done,
        **by_hand,
    )


def _by_key(rows: Iterable[Any]) -> dict[str, Any]:
    return {row.key: row for row in rows}


def _waxes_of(waxes: object, given: Mapping[str, Any]) -> tuple[Wax, ...]:
    """Read the waxes of a day whose metals and materials are read, by key."""
    alloys, patterns = _by_key(given["alloys"]), _by_key(given["patterns"])
    found = read_list(waxes, "waxes", lambda value, place: read_wax(value, place, alloys, patterns))
    return tuple(sorted(found, key=lambda wax: wax.key))


def _by_hand(
    given: Mapping[str, Any],
    sizes: Mapping[str, FlaskSize],
    fixed: Mapping[str, Previous],
    held: Mapping[str, str],
    keys: Collection[str],
) -> dict[str, Any]:
    """Return what a teacher has decided of flasks and waxes, as arguments of `DayInput`."""
    placed = read_placed(given["placed"], "placed", sizes, fixed, keys)
    refuse_torn(placed, held)
    inside = {key: label for label, one in fixed.items() for key in one.waxes} | dict(held)
    inside |= {key: flask.label for flask in placed for key in flask.keys}
    return {
        "placed": placed,
        "kept_out": read_kept_out(given["kept_out"], "kept_out", keys, inside),
        "reach_overruled": read_reach_overruled(given["reach_overruled"], "reach_overruled", placed),
    }


def _missing_prices(alloys: dict[str, Alloy], investment: Investment, waxes: tuple[Wax, ...]) -> tuple[str, ...]:
    """Return the names of what the day uses and nobody has priced."""
    used = sorted({wax.alloy for wax in waxes})
    names = [alloys[key].name for key in used if alloys[key].price_per_g is None]
    return (*names, *([f"investment {investment.key}"] if investment.price_per_kg is None else []))
