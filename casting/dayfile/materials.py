"""Readers of alloys, pattern materials and investment, each field with its range."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from casting.calc.quantities.alloy import share_of_noble_metals, specific_gravity
from casting.calc.quantities.melt import heat_to_pour
from casting.calc.values.day_input import Alloy, Investment, Pattern
from casting.calc.values.enums import PATTERN_KINDS, Powder, Section
from casting.calc.values.errors import CastingError, Refused
from casting.calc.values.sentence import Sentence, plain, say
from casting.dayfile.rules_file import rulebook
from casting.dayfile.shelf_file import densities, element_heats, shelf
from casting.dayfile.validation import (
    IN_C,
    Reader,
    celsius,
    check_list,
    check_object,
    check_text,
    choice,
    figure,
    nullable,
    number,
    read_each,
    read_fields,
    read_from_memory,
    refusal,
    step_in,
    table,
    too_hot,
    yes_or_no,
)

NEVER_MELTED = frozenset({"Cd", "Pb", "Be", "As", "Hg", "Tl", "Mg", "Ti", "Zr", "Na", "Li"})
SYMBOL = re.compile(r"[A-Z][a-z]?")
SHARE = nullable(number(least=0, most=100.5))
DEGREES = number(over=20, most=1500)
PRICE = nullable(number(least=0, most=1e6))


def read_alloy(value: object, place: str) -> Alloy:
    """Return one alloy."""
    given = read_fields(value, place, ALLOY, ALLOY_OPTIONAL)
    composition = given.get("composition_pct") or {}
    _refuse_aluminium(composition, step_in(place, "composition_pct"))
    if given.get("specific_gravity") is None:
        given["specific_gravity"] = _computed_specific_gravity(composition, step_in(place, "specific_gravity"))
    if given.get("price_per_g") is None:
        given["price_per_g"] = _figure(shelf().price_of(given["key"]))
    own = {"composition_pct": composition, "gravity_of_parts": _gravity_of_parts(composition)}
    own["melt_j_per_g"] = heat_to_pour(composition, given["liquidus_c"], given["pour_c"], element_heats())
    alloy = Alloy(**{"name": given["key"]} | given | own)
    _check_gravity(alloy, step_in(place, "specific_gravity"))
    if alloy.solidus_c > alloy.liquidus_c:
        raise refusal(
            step_in(place, "solidus_c"),
            alloy.solidus_c,
            say("the solidus lies above the liquidus, {liquidus}", liquidus=celsius(alloy.liquidus_c)),
            "swap the two or look them up",
        )
    if alloy.pour_c <= alloy.liquidus_c:
        raise refusal(
            step_in(place, "pour_c"),
            alloy.pour_c,
            say("the metal is not all melted up to its liquidus, {liquidus}", liquidus=celsius(alloy.liquidus_c)),
            "give a higher pour temperature",
        )
    _refuse_early_quench(alloy, place)
    return alloy


def _refuse_aluminium(composition: Mapping[str, float | None], place: str) -> None:
    """Refuse a metal that is mostly aluminium: lighter than any metal that is cast here, whatever is entered."""
    shares = {part: share or 0.0 for part, share in composition.items()}
    if shares and max(shares, key=lambda part: shares[part]) == "Al":
        raise refusal(place, composition, "no aluminium is cast in this class", "take the metal out")


def _refuse_early_quench(alloy: Alloy, place: str) -> None:
    """Refuse a quench while the button is sure to be red, unless the metal's own last minute asks for it."""
    least, by = rulebook().limit("quench_least_min"), alloy.quench_by_min
    for nth, (_diameter_mm, minutes) in enumerate(alloy.quench_min_by_diameter):
        if minutes < least and not (by is not None and by < least):
            raise refusal(
                f"{step_in(place, 'quench_min_by_diameter')}[{nth}][1]",
                minutes,
                say(
                    "a button is red for longer: under {least} minutes after the pour nothing is quenched", least=least
                ),
                "give the minutes of the metal's data sheet",
            )


def _figure(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _composition(value: object, place: str) -> dict[str, float | None]:
    """Return the parts of an alloy, null where a part is not recorded."""
    given = check_object(value, place)
    shares = read_each((_part(sign), raw, step_in(place, sign)) for sign, raw in given.items())
    parts = dict(zip(given, shares, strict=True))
    total = math.fsum(share for share in shares if share is not None)
    if total > 100.5 + 1e-9 or (None not in shares and total < 99.5 - 1e-9):
        wrong = say(
            "parts that add up to {total:.4g} % stand here, but it must be 99.5 to 100.5 %; look the parts up.",
            total=total,
        )
        raise Refused(place, wrong)
    return parts


def _part(sign: str) -> Reader[float | None]:
    """Return a reader of the share of one element."""

    def read(value: object, place: str) -> float | None:
        if not SYMBOL.fullmatch(sign) or sign not in densities():
            raise Refused(place, "no metal has this sign; write the sign of an element, as in Ag.")
        share = SHARE(value, place)
        if sign in NEVER_MELTED and share != 0:
            wrong = say("an alloy holding {sign} is never melted here", sign=sign)
            raise refusal(place, value, wrong, "leave this metal out of the day")
        return share

    return read


def _computed_specific_gravity(composition: Mapping[str, float | None], place: str) -> float:
    """Return the specific gravity computed from the parts."""
    known = {part: share for part, share in composition.items() if share is not None}
    if not composition or len(known) < len(composition):
        raise Refused(
            place, "nothing stands here and the parts of the alloy are not all recorded; give one or the other."
        )
    try:
        computed = specific_gravity(known, densities())
    except CastingError as error:
        raise Refused(place, say("nothing stands here. {why}", why=plain(error.args[0]))) from None
    if not 7 <= computed <= 22:
        words = "the parts make {computed:.2f}, but it must be 7 to 22; look at the parts or give it."
        raise Refused(place, say(words, computed=computed))
    return computed


def _gravity_of_parts(composition: Mapping[str, float | None]) -> float | None:
    """Return the specific gravity that the parts make; None unless all are recorded."""
    known = {part: share for part, share in composition.items() if share is not None}
    return specific_gravity(known, densities()) if known and len(known) == len(composition) else None


def _check_gravity(alloy: Alloy, place: str) -> None:
    """Refuse a specific gravity that is far from what the parts make; a day asks about one that is near the limit."""
    if alloy.gravity_of_parts is None:
        return
    book = rulebook()
    noble = share_of_noble_metals(alloy.composition_pct) > book.limit("noble_metal_pct")
    most_pct = book.limit("gravity_noble_most_pct" if noble else "gravity_most_pct")
    apart_pct = abs(alloy.specific_gravity / alloy.gravity_of_parts - 1) * 100
    if apart_pct > most_pct:
        words = "the parts make {computed:.2f}: {apart:.1f} % apart, {most} % is the most"
        wrong = say(words, computed=alloy.gravity_of_parts, apart=apart_pct, most=most_pct)
        raise refusal(place, alloy.specific_gravity, wrong, "look up the parts and the specific gravity")


def _bands(value: object, place: str) -> dict[Section, tuple[float, float]]:
    """Return the flask temperatures of each section; all four must be there."""
    bands = read_fields(value, place, dict.fromkeys(Section, _band))
    return {Section(section): band for section, band in bands.items()}


def _band(value: object, place: str) -> tuple[float, float]:
    pair = check_list(value, place)
    if len(pair) != 2:
        raise refusal(place, pair, "a band is its low and its high end", "give the two temperatures")
    low, high = (DEGREES(each, f"{place}[{nth}]") for nth, each in enumerate(pair))
    if low > high:
        words = "{ends} stands here, but the band runs backwards; swap the two ends."
        raise Refused(place, say(words, ends=_ends(low, high)))
    hottest_c = rulebook().limit("flask_hottest_c")
    if low > hottest_c:
        raise too_hot(place, low, hottest_c, "a flask", say("Look the band up in {unit}", unit=IN_C))
    if math.ceil(low) > min(math.floor(high), hottest_c):
        words = "{ends} stands here, but no whole degree up to {hottest} lies in it; look the band up."
        raise Refused(place, say(words, ends=_ends(low, high), hottest=celsius(hottest_c)))
    return low, high


def _ends(low_c: float, high_c: float) -> Sentence:
    """Return the two ends of a band as a refusal has them."""
    return say("[{low}, {high}]", low=figure(low_c, "c"), high=figure(high_c, "c"))


def _water_c(value: object, place: str) -> tuple[float, float]:
    """Return how warm the water of a mix should be, from and to."""
    pair = check_list(value, place)
    if len(pair) != 2:
        wrong = "it is the coolest and the warmest that the water may be"
        raise refusal(place, pair, wrong, say("give both in {unit}", unit=IN_C))
    low, high = (
        number(over=0, most=200, mend=say("give {unit}", unit=IN_C))(each, f"{place}[{nth}]")
        for nth, each in enumerate(pair)
    )
    warmest_c = rulebook().limit("mix_water_most_c")
    for nth, each in enumerate((low, high)):
        if each > warmest_c:
            raise too_hot(f"{place}[{nth}]", each, warmest_c, "the water of a mix", "Look at the powder's sheet")
    if low > high:
        words = "{ends} stands here, but it runs backwards; swap the two ends."
        raise Refused(place, say(words, ends=_ends(low, high)))
    return low, high


ALLOY: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "name": check_text,
    "composition_pct": nullable(_composition),
    "specific_gravity": nullable(number(least=7, most=22, mend="look it up, in g to the ml")),
    "solidus_c": number(least=100, most=3000),
    "liquidus_c": number(least=100, most=3000),
    "pour_c": number(least=100, most=3500),
    "flask_c": _bands,
    "quench_min_by_diameter": table("minutes", most=1440),
    "quench_by_min": nullable(number(over=0, most=1440)),
    "price_per_g": PRICE,
    "from_memory": lambda value, place: read_from_memory(value, place, ALLOY),
}
ALLOY_OPTIONAL = ("name", "composition_pct", "specific_gravity", "quench_by_min", "price_per_g", "from_memory")
IN_THE_KILN = ("poison_gas", "heavy_smoke", "ash", "unknown_plastic")
"""What a pattern does in the kiln: true, false or null, "not recorded"."""
PATTERN: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "kind": choice(PATTERN_KINDS),
    "specific_gravity": number(least=0.8, most=2, mend="weigh a piece in water"),
    **dict.fromkeys(IN_THE_KILN, nullable(yes_or_no)),
    "name": check_text,
    "from_memory": lambda value, place: read_from_memory(value, place, PATTERN),
}
INVESTMENT: Mapping[str, Reader[Any]] = {
    "key": check_text,
    "kind": choice(tuple(Powder)),
    "water_per_100": number(least=30, most=50, mend="give grams of water to 100 g of powder"),
    "specific_gravity": number(least=1, most=6),
    "allowance_pct": number(least=0, most=100),
    "working_min": number(over=0, most=120),
    "set_min": number(least=0, most=1440),
    "max_c": DEGREES,
    "price_per_kg": PRICE,
    "water_c": _water_c,
    "from_memory": lambda value, place: read_from_memory(value, place, INVESTMENT),
}


def read_pattern(value: object, place: str) -> Pattern:
    """Return one pattern material.

    A property that is absent is that of the shelf's material of the same key. Null is "not recorded": a danger that
    the shelf knows then counts all the same. A "no" where the shelf knows of poison gas is refused.
    """
    given = read_fields(value, place, PATTERN, (*IN_THE_KILN, "name", "from_memory"))
    of_shelf = shelf().materials.get(re.sub(r"[ _]+", "-", given["key"].lower()), {})
    if given.get("poison_gas") is False and of_shelf.get("poison_gas"):
        wrong = say('"{key}" is known to give off poison gas', key=given["key"])
        mend = "write true, or give what it is as its key"
        raise refusal(step_in(place, "poison_gas"), False, wrong, mend)
    for what in IN_THE_KILN:
        if given.get(what) is None:
            known = of_shelf.get(what)
            given[what] = known or None if what in given else known
    return Pattern(**given)


def read_investment(value: object, place: str) -> Investment:
    """Return the investment."""
    given = read_fields(value, place, INVESTMENT, ("price_per_kg", "water_c", "from_memory"))
    of_shelf = shelf().one("investment")
    if given.get("price_per_kg") is None and of_shelf["key"] == given["key"]:
        given["price_per_kg"] = _figure(of_shelf.get("price_per_kg"))
    return Investment(**given)
