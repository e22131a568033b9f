"""The day's data -> cautions: STOP, WARN, SAY, and when each is asked.

Unknown counts as yes: a part that is not recorded raises the caution it might need.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from casting.calc.day import SLACK, Alloy, DayInput, Pattern, Wax
from casting.calc.result import Bowl, Caution, FlaskPlan
from casting.calc.words import Asked, Kind, Level

GYPSUM_POUR_MAX_C = 1100
SUPERHEAT_STOP_C, SUPERHEAT_WARN_C, ZINC_SUPERHEAT_WARN_C = 250, 100, 50
TOO_HOT_FOR_GYPSUM = frozenset({"Pt", "Pd", "Fe"})
NEVER_BURN = frozenset({"polyurethane", "pvc", "abs", "nylon", "rubber"})
TOP_WARN_C, TOP_LOW_WARN_C, TOP_LOW_STOP_C = 732, 677, 500
WATER_WARN, WATER_STOP = (38, 42), (35, 45)
COLD_FLASK_C = 200
CRUCIBLE_LOW_PCT = 20

BASIS = {
    "zinc": "zinc boils at 907 C; OSHA 29 CFR 1910.1000 Table Z-1 for its smoke; the 2 % is the school's judgement",
    "gypsum": "G. M. Ingo et al., J. Therm. Anal. Calorim. 66(1), 2001 (abstract); the 1100 C is from memory",
    "superheat": "the school's judgement on the alloy makers' published 28 to 112 C",
    "burn": "NSEAD, Working in Metals, for polyurethane (second hand); the others from memory",
    "wet": "HSE, molten metals safety topics",
    "dust": "OSHA 29 CFR 1910.1053",
    "top": "732 C published (a kiln maker's lost-wax instructions); 750 C from memory; 788 C a supplier's checklist",
    "practice": "common practice",
    "judgement": "the school's judgement",
    "slurry": "published working times of 7 to 10 minutes; the share is the school's judgement",
    "resin": "resin safety data sheets, H317 (second hand)",
    "nickel": "REACH Annex XVII entry 27",
    "wax": "kiln makers' lost-wax instructions (second hand)",
}


def _share(alloy: Alloy, part: str) -> float | None:
    """A part's share [%], 0 if it is not in the alloy, None if not recorded."""
    return alloy.composition_pct.get(part, 0.0)


def _unrecorded(alloy: Alloy) -> list[str]:
    """The parts not recorded; "parts" if the alloy has no composition at all."""
    if not alloy.composition_pct:
        return ["its parts"]
    return sorted(part for part, share in alloy.composition_pct.items() if share is None)


def stopped(wax: Wax, day: DayInput) -> str | None:
    """Return why a wax's own alloy or pattern may not be cast at all, if so.

    Parameters
    ----------
    wax : Wax
        A wax of the day.
    day : DayInput
        The day, for its alloys, patterns and powder.

    Returns
    -------
    str or None
        A sentence; None if nothing forbids it. Room, people and kit never count here.
    """
    return alloy_stop(day.alloys[wax.alloy], day) or next(
        (sentence for key in (wax.pattern, wax.sprue_pattern) if key and (sentence := pattern_stop(day.patterns[key]))),
        None,
    )


def alloy_stop(alloy: Alloy, day: DayInput) -> str | None:
    """Return why this alloy may not be poured with this day's powder, if so.

    Parameters
    ----------
    alloy : Alloy
        The metal.
    day : DayInput
        The day.

    Returns
    -------
    str or None
        A sentence, or None.
    """
    if day.investment.kind == "gypsum":
        if alloy.pour_c > GYPSUM_POUR_MAX_C:
            return (
                f"{alloy.name} is poured at {alloy.pour_c:g} C, above {GYPSUM_POUR_MAX_C} C for this plaster: "
                "it breaks down and makes a choking gas."
            )
        known = {part: share for part, share in alloy.composition_pct.items() if share is not None}
        main = max(known, key=lambda part: known[part], default=None)
        if main in TOO_HOT_FOR_GYPSUM:
            return f"{alloy.name} is mostly {main}: this plaster is not for it."
    superheat = alloy.pour_c - alloy.liquidus_c
    if superheat > SUPERHEAT_STOP_C:
        return (
            f"{alloy.name} is poured {superheat:g} C above its liquidus; more than {SUPERHEAT_STOP_C} C is "
            "most often a slip of the pen."
        )
    return None


def pattern_stop(pattern: Pattern) -> str | None:
    """Return why this pattern may not be burned out, if so.

    Parameters
    ----------
    pattern : Pattern
        What the wax is made of.

    Returns
    -------
    str or None
        A sentence, or None.
    """
    found = NEVER_BURN & set(re.split(r"[^a-z]+", pattern.key.lower()))
    if found:
        return f"Do not burn {sorted(found)[0]} out: it may make poison gas."
    return None


def cautions_for(
    day: DayInput, flasks: tuple[FlaskPlan, ...], bowls: tuple[Bowl, ...], more: tuple[Caution, ...] = ()
) -> tuple[Caution, ...]:
    """Return the cautions of a planned day, hardest first, each once.

    Parameters
    ----------
    day : DayInput
        The day.
    flasks : tuple of FlaskPlan
        The flasks as planned.
    bowls : tuple of Bowl
        The bowls as planned.
    more : tuple of Caution
        Cautions that the planning itself has raised.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id within each.
    """
    waxes = {wax.key: wax for wax in day.waxes}
    alloys = {day.alloys[wax.alloy].key: day.alloys[wax.alloy] for wax in day.waxes}
    patterns = {wax.pattern: day.patterns[wax.pattern] for wax in day.waxes}
    patterns |= {wax.sprue_pattern: day.patterns[wax.sprue_pattern] for wax in day.waxes if wax.sprue_pattern}
    found: list[Caution] = list(more)
    for key in sorted(alloys):
        found.extend(_of_alloy(alloys[key], day))
    for key in sorted(patterns):
        found.extend(_of_pattern(patterns[key]))
    if waxes:
        found.extend(_of_powder(day))
        found.extend(_of_prices(day))
    if flasks:
        found.extend(_of_firing(day))
        found.extend(_always())
    for flask in flasks:
        found.extend(_of_flask(flask, day, waxes))
    order = list(Level)
    unique = {(caution.id, caution.text): caution for caution in found}
    return tuple(sorted(unique.values(), key=lambda c: (order.index(c.level), c.id, c.text)))


def _of_alloy(alloy: Alloy, day: DayInput) -> Iterator[Caution]:
    sentence = alloy_stop(alloy, day)
    if sentence:
        yield Caution("alloy-stopped", Level.STOP, Asked.PLAN, sentence, BASIS["gypsum"])
    unrecorded = _unrecorded(alloy)
    if unrecorded:
        text = f"{alloy.name}: {', '.join(unrecorded)} not recorded. Ask, and treat it as holding zinc and nickel."
        yield Caution("alloy-unrecorded", Level.WARN, Asked.PLAN, text, BASIS["judgement"])
    yield from _of_zinc(alloy, bool(unrecorded))
    nickel = _share(alloy, "Ni")
    if unrecorded or nickel is None or nickel > 0:
        text = f"{alloy.name} holds nickel, or we do not know. If nickel makes your skin itch, do not wear it."
        yield Caution("nickel", Level.SAY, Asked.PLAN, text, BASIS["nickel"])
    superheat = alloy.pour_c - alloy.liquidus_c
    zinc = _share(alloy, "Zn")
    limit = ZINC_SUPERHEAT_WARN_C if zinc is None or zinc > 2 else SUPERHEAT_WARN_C
    if superheat > limit and not sentence:
        text = f"{alloy.name} is poured {superheat:g} C above its liquidus; above {limit} C check the maker's sheet."
        yield Caution("superheat", Level.WARN, Asked.PLAN, text, BASIS["superheat"])


def _of_zinc(alloy: Alloy, unrecorded: bool) -> Iterator[Caution]:
    zinc = _share(alloy, "Zn")
    if zinc is None or unrecorded or zinc > 2:
        text = f"{alloy.name} holds zinc, or we do not know. No melting until the fume fan is on."
        yield Caution("zinc-fan", Level.STOP, Asked.MELT, text, BASIS["zinc"])
    elif zinc > 0:
        text = f"{alloy.name} holds a little zinc. Fume fan on, stand back from white smoke."
        yield Caution("zinc", Level.SAY, Asked.MELT, text, BASIS["zinc"])


def _of_pattern(pattern: Pattern) -> Iterator[Caution]:
    sentence = pattern_stop(pattern)
    if sentence:
        yield Caution("pattern-stopped", Level.STOP, Asked.PLAN, sentence, BASIS["burn"])
    if pattern.kind is Kind.RESIN:
        text = "Touch printed resin only when washed and cured, with gloves. Follow the resin maker's heat plan."
        yield Caution("resin", Level.SAY, Asked.PLAN, text, BASIS["resin"])
    text = "Keep the kiln vent open. Stay out of the kiln room at burnout: some of what burns off has no smell."
    yield Caution("burnout-smoke", Level.SAY, Asked.KILN, text, BASIS["wax"])


def _of_powder(day: DayInput) -> Iterator[Caution]:
    text = "Put powder into water, slowly, from low down. Wear the mask that fits. Wipe wet, never sweep."
    yield Caution("powder-dust", Level.SAY, Asked.PLAN, text, BASIS["dust"])
    water = day.investment.water_per_100
    low, high = WATER_STOP
    if not low <= water <= high:
        text = f"{water:g} g of water to 100 g of powder is outside {low} to {high}: only on the maker's word."
        yield Caution("water-ratio", Level.STOP, Asked.PLAN, text, BASIS["judgement"])
    elif not WATER_WARN[0] <= water <= WATER_WARN[1]:
        text = f"{water:g} g of water to 100 g of powder; {WATER_WARN[0]} to {WATER_WARN[1]} is usual. Read the tin."
        yield Caution("water-ratio", Level.WARN, Asked.PLAN, text, BASIS["practice"])


def _of_firing(day: DayInput) -> Iterator[Caution]:
    for firing in day.firings:
        top = max(segment.to_c for segment in firing.segments)
        if top > TOP_WARN_C:
            text = f"Firing {firing.key} goes to {top:g} C, above {TOP_WARN_C} C: only on the powder maker's word."
            yield Caution("top-hot", Level.WARN, Asked.KILN, text, BASIS["top"])
        elif top < TOP_LOW_STOP_C:
            text = f"Firing {firing.key} ends at {top:g} C: under {TOP_LOW_STOP_C} C carbon and water stay inside."
            yield Caution("top-cold", Level.STOP, Asked.PLAN, text, BASIS["top"])
        elif top < TOP_LOW_WARN_C:
            text = f"Firing {firing.key} ends at {top:g} C; under {TOP_LOW_WARN_C} C carbon may stay inside."
            yield Caution("top-cold", Level.WARN, Asked.KILN, text, BASIS["top"])


def _of_prices(day: DayInput) -> Iterator[Caution]:
    for name in day.missing_prices:
        text = f"No price is recorded for {name}: its cost is counted as 0."
        yield Caution("price-missing", Level.WARN, Asked.PLAN, text, BASIS["judgement"])


def _of_flask(flask: FlaskPlan, day: DayInput, waxes: Mapping[str, Wax]) -> Iterator[Caution]:
    alloy = day.alloys[flask.alloy]
    if flask.flask_c < COLD_FLASK_C:
        text = f"Flask {flask.label} would be {flask.flask_c} C at the pour: under {COLD_FLASK_C} C it may be wet."
        yield Caution("flask-cold", Level.STOP, Asked.PLAN, text, BASIS["wet"])
    low, high = alloy.flask_c[flask.section]
    if not low - 1 < flask.flask_c < high + 1:
        text = f"Flask {flask.label} is at {flask.flask_c} C, outside {low:g} to {high:g} C for this metal."
        yield Caution("flask-band", Level.STOP, Asked.PLAN, text, BASIS["practice"])
    least = day.rules.crucible_ml * alloy.specific_gravity * CRUCIBLE_LOW_PCT / 100
    if flask.charge_g < least - SLACK:
        text = f"Flask {flask.label}: {flask.charge_g:g} g is little for this crucible. So little metal overheats fast: heat gently."
        yield Caution("crucible-low", Level.SAY, Asked.MELT, text, BASIS["judgement"])
    waited = flask.quench_at - flask.out_at - day.rules.pour_min
    if alloy.quench_by_min is not None and waited > alloy.quench_by_min + SLACK:
        text = (
            f"Flask {flask.label} is quenched {waited:g} minutes after its pour; {alloy.name} wants it by "
            f"{alloy.quench_by_min:g}. Only ever when no red shows."
        )
        yield Caution("quench-late", Level.WARN, Asked.QUENCH, text, BASIS["practice"])


def _always() -> Iterator[Caution]:
    yield Caution(
        "wet-mould",
        Level.STOP,
        Asked.POUR,
        "Wet or cold mould and molten metal explode. Pour only into a flask that has finished its burnout.",
        BASIS["wet"],
    )
    yield Caution(
        "red-button",
        Level.STOP,
        Asked.QUENCH,
        "Quench no flask whose button is red. Wait its minutes, look away, lower it slowly.",
        BASIS["practice"],
    )
    yield Caution(
        "solvent-flame",
        Level.STOP,
        Asked.MELT,
        "Put lighter fluid and every other solvent away before a flame or hot kiln is near.",
        BASIS["practice"],
    )
    yield Caution(
        "white-plaster",
        Level.SAY,
        Asked.KILN,
        "Look for white plaster. Grey or black means carbon: more time and air, not more heat.",
        BASIS["practice"],
    )
