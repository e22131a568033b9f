"""Alloys, pattern materials and investment of a day file."""

from __future__ import annotations

import math
import re

from casting.calc.quantities.alloy import specific_gravity
from casting.calc.values.day_input import Alloy, Investment, Pattern
from casting.calc.values.enums import Kind, Section
from casting.calc.values.errors import CastingError, Refused
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import densities, shelf
from casting.dayfile.validation import Fields, check_list, check_number, check_object, check_table, refusal, step_in

ALLOY_KEYS = (
    "key",
    "name",
    "composition_pct",
    "specific_gravity",
    "solidus_c",
    "liquidus_c",
    "pour_c",
    "price_per_g",
    "flask_c",
    "quench_min_by_diameter",
    "quench_by_min",
)
PATTERN_KEYS = ("key", "kind", "specific_gravity")
INVESTMENT_KEYS = (
    "key",
    "kind",
    "water_per_100",
    "specific_gravity",
    "allowance_pct",
    "working_min",
    "set_min",
    "max_c",
    "price_per_kg",
)
NEVER_MELTED = frozenset({"Cd", "Pb", "Be", "As", "Hg", "Tl", "Mg", "Ti", "Zr", "Na", "Li"})
SYMBOL = re.compile(r"[A-Z][a-z]?")
PRICE_MAX = 1e6


def read_alloy(value: object, place: str) -> Alloy:
    """Return one alloy."""
    fields = Fields(value, place, ALLOY_KEYS)
    key = fields.text("key")
    composition = _composition(fields)
    solidus_c = fields.number("solidus_c", least=100, most=3000)
    liquidus_c = fields.number("liquidus_c", least=100, most=3000)
    pour_c = fields.number("pour_c", least=100, most=3500)
    if solidus_c > liquidus_c:
        raise refusal(
            fields.at("solidus_c"),
            solidus_c,
            f"the solidus lies above the liquidus, {liquidus_c:g} C",
            "swap the two or look them up",
        )
    if pour_c <= liquidus_c:
        raise refusal(
            fields.at("pour_c"),
            pour_c,
            f"the metal is not all melted up to its liquidus, {liquidus_c:g} C",
            "give a higher pour temperature",
        )
    quench_by_min = None
    if fields.has("quench_by_min"):
        quench_by_min = fields.number("quench_by_min", over=0, most=1440)
    table = fields.take("quench_min_by_diameter")
    return Alloy(
        key=key,
        name=fields.text("name", default=key),
        composition_pct=composition,
        specific_gravity=_specific_gravity(fields, composition),
        solidus_c=solidus_c,
        liquidus_c=liquidus_c,
        pour_c=pour_c,
        flask_c=_bands(fields.take("flask_c"), fields.at("flask_c")),
        quench_min_by_diameter=check_table(table, fields.at("quench_min_by_diameter"), "minutes", 1440),
        quench_by_min=quench_by_min,
        price_per_g=_price(fields, "price_per_g", shelf().price_of(key)),
    )


def _composition(fields: Fields) -> dict[str, float | None]:
    """Return the parts of an alloy; none if the key is absent."""
    if not fields.has("composition_pct"):
        return {}
    place = fields.at("composition_pct")
    parts: dict[str, float | None] = {}
    for part, raw in check_object(fields.take("composition_pct"), place).items():
        here = step_in(place, part)
        if not SYMBOL.fullmatch(part) or part not in densities():
            raise Refused(here, "no metal has this sign; write the sign of an element, as in Ag.")
        share = None if raw is None else check_number(raw, here, least=0, most=100.5)
        if part in NEVER_MELTED and share != 0:
            raise refusal(here, raw, f"an alloy holding {part} is never melted here", "leave this metal out of the day")
        parts[part] = share
    total = math.fsum(share for share in parts.values() if share is not None)
    unknown = [part for part, share in parts.items() if share is None]
    if total > 100.5 + 1e-9 or (not unknown and total < 99.5 - 1e-9):
        raise Refused(
            place,
            f"parts that add up to {total:.4g} % stand here, but it must be 99.5 to 100.5 %; look the parts up.",
        )
    return parts


def _specific_gravity(fields: Fields, composition: dict[str, float | None]) -> float:
    """Return the specific gravity as given, or as the parts make it."""
    place = fields.at("specific_gravity")
    if fields.has("specific_gravity"):
        return fields.number("specific_gravity", least=7, most=22, mend="look it up, in g to the ml")
    known = {part: share for part, share in composition.items() if share is not None}
    if not composition or len(known) < len(composition):
        raise Refused(
            place, "nothing stands here and the parts of the alloy are not all recorded; give one or the other."
        )
    try:
        computed = specific_gravity(known, densities())
    except CastingError as error:
        raise Refused(place, f"nothing stands here. {error}") from None
    if not 7 <= computed <= 22:
        raise Refused(place, f"the parts make {computed:.2f}, but it must be 7 to 22; look at the parts or give it.")
    return computed


def _bands(value: object, place: str) -> dict[Section, tuple[float, float]]:
    """Return the flask temperatures of each section; all four must be there."""
    fields = Fields(value, place, tuple(Section))
    bands: dict[Section, tuple[float, float]] = {}
    for section in Section:
        here = fields.at(section)
        pair = check_list(fields.take(section), here)
        if len(pair) != 2:
            raise refusal(here, pair, "a band is its low and its high end", "give the two temperatures")
        low, high = (check_number(each, f"{here}[{nth}]", over=20, most=1500) for nth, each in enumerate(pair))
        if low > high:
            raise Refused(here, f"[{low:g}, {high:g}] stands here, but the band runs backwards; swap the two ends.")
        hottest_c = rulebook().limit("flask_hottest_c")
        if math.ceil(low) > min(math.floor(high), hottest_c):
            raise Refused(
                here,
                f"[{low:g}, {high:g}] stands here, but no whole degree up to {hottest_c:g} C lies in it;"
                " look the band up.",
            )
        bands[section] = (low, high)
    return bands


def _price(fields: Fields, key: str, fallback: object) -> float | None:
    """Return the price as given, else the shelf's; None if neither is known."""
    if fields.has(key):
        return fields.number(key, least=0, most=PRICE_MAX)
    return float(fallback) if isinstance(fallback, int | float) else None


def read_pattern(value: object, place: str) -> Pattern:
    """Return one pattern material."""
    fields = Fields(value, place, PATTERN_KEYS)
    return Pattern(
        key=fields.text("key"),
        kind=fields.choice("kind", tuple(Kind)),
        specific_gravity=fields.number("specific_gravity", least=0.8, most=2, mend="weigh a piece in water"),
    )


def read_investment(value: object, place: str) -> Investment:
    """Return the investment."""
    fields = Fields(value, place, INVESTMENT_KEYS)
    key = fields.text("key")
    of_shelf = shelf().one("investment")
    return Investment(
        key=key,
        kind=fields.text("kind"),
        water_per_100=fields.number("water_per_100", least=30, most=50, mend="give grams of water to 100 g of powder"),
        specific_gravity=fields.number("specific_gravity", least=1, most=6),
        allowance_pct=fields.number("allowance_pct", least=0, most=100),
        working_min=fields.number("working_min", over=0, most=120),
        set_min=fields.number("set_min", least=0, most=1440),
        max_c=fields.number("max_c", over=20, most=1500),
        price_per_kg=_price(fields, "price_per_kg", of_shelf.get("price_per_kg") if of_shelf["key"] == key else None),
    )
