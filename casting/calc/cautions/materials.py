"""Cautions about metals, patterns and powder, and all cautions of a day in order.

Unknown counts as yes: a part that is not recorded raises any caution that might apply. Room, people and kit
are not in a day file: `school_rules` has their cautions.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from casting.calc.cautions.bench import (
    of_day_gates,
    of_flask,
    of_kilns,
    of_mixes,
    of_sizes,
)
from casting.calc.cautions.firings import of_firings
from casting.calc.cautions.rulebook import raised, told
from casting.calc.cautions.sprues import of_reach, of_sprues
from casting.calc.cautions.stones import of_stones
from casting.calc.quantities.alloy import share_of_noble_metals
from casting.calc.quantities.bowls import flasks_in_time
from casting.calc.values.day_input import Alloy, DayInput, Pattern, Wax
from casting.calc.values.day_plan import Caution, FiringPlan, FlaskPlan
from casting.calc.values.enums import Asked, Kind, Level
from casting.calc.values.sentence import say

IN_THE_KILN = (
    ("poison_gas", say("poison gas")),
    ("heavy_smoke", say("heavy smoke")),
    ("ash", say("ash")),
    ("unknown_plastic", say("plastic of unknown make")),
)
"""What a pattern may do in the kiln: the field of `Pattern`, and what a sentence calls it."""


def _share(alloy: Alloy, part: str) -> float | None:
    """The share of a part [%]: 0 if the alloy does not contain it, None if it is not recorded."""
    return alloy.composition_pct.get(part, 0.0)


def _unrecorded(alloy: Alloy) -> list[str]:
    """The parts that are not recorded; "its recipe" if none is."""
    if not alloy.composition_pct:
        return [say("its recipe")]
    return sorted(part for part, share in alloy.composition_pct.items() if share is None)


def _main_part(alloy: Alloy) -> str | None:
    """The largest part that is recorded."""
    known = {part: share for part, share in alloy.composition_pct.items() if share is not None}
    return max(known, key=lambda part: known[part], default=None)


def zinc_of(alloy: Alloy) -> float | None:
    """Return an alloy's share of zinc.

    Parameters
    ----------
    alloy : Alloy
        The metal.

    Returns
    -------
    float or None
        Share by weight [%]; None if any part is not recorded, since that part may be zinc.
    """
    return None if _unrecorded(alloy) else _share(alloy, "Zn")


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
    stops = stops_of(wax, day)
    return stops[0].text if stops else None


def stops_of(wax: Wax, day: DayInput) -> tuple[Caution, ...]:
    """Return every STOP that leaves a wax out: of its alloy, its pattern and its sprue's.

    Parameters
    ----------
    wax : Wax
        A wax of the day.
    day : DayInput
        The day, for its alloys, patterns and powder.

    Returns
    -------
    tuple of Caution
        The alloy's first; empty if nothing forbids the wax.
    """
    of_patterns = [_pattern_stop(day.patterns[key], day) for key in (wax.pattern, wax.sprue_pattern) if key]
    return tuple(stop for stop in (_alloy_stop(day.alloys[wax.alloy], day), *of_patterns) if stop)


def _alloy_stop(alloy: Alloy, day: DayInput) -> Caution | None:
    """The STOP for pouring this alloy into this day's powder, if there is one."""
    book = day.rulebook
    if day.investment.kind.may_be_gypsum:
        if alloy.pour_c > book.limit("gypsum_pour_most_c"):
            return raised(book, "R-12-hot", alloy=alloy.called, pour=told(alloy.pour_c, alloy, "pour_c"))
        main = _main_part(alloy)
        if main in book.materials("R-12-metal"):
            return raised(book, "R-12-metal", alloy=alloy.called, part=main)
    superheat = alloy.pour_c - alloy.liquidus_c
    if superheat > book.limit("superheat_most_c"):
        return raised(book, "N-15-stop", alloy=alloy.called, superheat=told(superheat, alloy, "pour_c", "liquidus_c"))
    return None


def _pattern_stop(pattern: Pattern, day: DayInput) -> Caution | None:
    """The STOP for burning out this pattern, if there is one."""
    if pattern.poison_gas or pattern.unknown_plastic:
        return raised(day.rulebook, "R-10", pattern=pattern.called)
    return None


def cautions_for(
    day: DayInput, flasks: tuple[FlaskPlan, ...], firings: tuple[FiringPlan, ...], more: tuple[Caution, ...] = ()
) -> tuple[Caution, ...]:
    """Return the cautions of a planned day, most severe first, without duplicates.

    Parameters
    ----------
    day : DayInput
        The day.
    flasks : tuple of FlaskPlan
        The flasks as planned.
    firings : tuple of FiringPlan
        The firings as planned; sizes, kilns and firings that the plan does not use raise nothing.
    more : tuple of Caution
        Cautions that the planning itself has raised.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id within each.
    """
    found: list[Caution] = list(more)
    to_pour = [flask for flask in flasks if flask.label not in day.poured]
    poured = {key for flask in flasks if flask.label in day.poured for key in flask.metal_g}
    cold = {wax.alloy for wax in day.waxes} - {wax.alloy for wax in day.waxes if wax.key not in poured}
    found.extend(_of_materials(day, {wax.alloy for wax in day.waxes} - cold, _patterns_used(day)))
    found.extend(_past_its_pour(_of_materials(day, cold, set())))
    if day.waxes:
        found.extend(_of_powder(day))
        found.extend(raised(day.rulebook, "price-missing", name=name) for name in day.missing_prices)
    if flasks:
        of_bench = [*of_firings(flasks, firings, day), *_of_bench(_as_used(day, flasks), flasks)]
        found.extend(of_bench if to_pour else _past_its_pour(of_bench))
    for flask in flasks:
        found.extend(of_flask(flask, day) if flask in to_pour else _past_its_pour(of_flask(flask, day)))
    found.extend(of_stones(flasks, day))
    found.extend(of_sprues(day, {key for flask in flasks if flask.label in day.fixed for key in flask.metal_g}))
    found.extend(of_reach(flasks, day))
    return in_order(found)


def _past_its_pour(found: Iterable[Caution]) -> list[Caution]:
    """The cautions without those asked at melt and pour: what they are about is poured."""
    return [caution for caution in found if caution.when not in (Asked.MELT, Asked.POUR)]


def cautions_offered(day: DayInput) -> tuple[Caution, ...]:
    """Return the cautions of all that a day offers, before there is a plan.

    Sizes, kilns and firings wait for the plan: nobody knows yet which of the shelf's are used.

    Parameters
    ----------
    day : DayInput
        The day; its waxes do not matter.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id within each.
    """
    return in_order(
        [*_of_materials(day, set(day.alloys), set(day.patterns)), *_of_powder(day), *_of_bench(_as_used(day), ())]
    )


def in_order(found: Iterable[Caution]) -> tuple[Caution, ...]:
    """Return cautions, most severe first, without duplicates.

    Parameters
    ----------
    found : iterable of Caution
        Cautions in any order.

    Returns
    -------
    tuple of Caution
        STOP, then WARN, then SAY, by id and words within each.
    """
    order = list(Level)
    unique = {(caution.id, caution.text): caution for caution in found}
    return tuple(sorted(unique.values(), key=lambda c: (order.index(c.level), c.id, c.text)))


def _patterns_used(day: DayInput) -> set[str]:
    return {key for wax in day.waxes for key in (wax.pattern, wax.sprue_pattern) if key}


def _of_materials(day: DayInput, alloys: set[str], patterns: set[str]) -> Iterator[Caution]:
    for key in sorted(alloys):
        yield from _of_alloy(day.alloys[key], day)
    for key in sorted(patterns):
        yield from _of_pattern(day.patterns[key], day)


def _as_used(day: DayInput, flasks: Collection[FlaskPlan] = ()) -> DayInput:
    """The day with those sizes and kilns alone that a plan uses."""
    sizes, kilns = {flask.size for flask in flasks}, {flask.kiln for flask in flasks}
    return replace(
        day,
        flask_sizes=tuple(size for size in day.flask_sizes if size.key in sizes),
        kilns=tuple(kiln for kiln in day.kilns if kiln.key in kilns),
    )


def _of_bench(day: DayInput, flasks: Collection[FlaskPlan]) -> Iterator[Caution]:
    """The cautions about the bench, of a day with what is used."""
    yield from of_sizes(day)
    yield from of_kilns(day)
    yield from of_mixes(day)
    yield from of_day_gates(day, flasks)


def _of_alloy(alloy: Alloy, day: DayInput) -> Iterator[Caution]:
    book, name, main = day.rulebook, alloy.called, _main_part(alloy)
    stop = _alloy_stop(alloy, day)
    if stop:
        yield stop
    unrecorded = _unrecorded(alloy)
    if unrecorded:
        yield raised(book, "R-05", alloy=name, parts=say("{parts:,}", parts=unrecorded))
    zinc = zinc_of(alloy)
    if zinc is None or zinc > 0:
        yield raised(book, "R-01a", alloy=name)
    much_zinc = zinc is None or zinc > book.limit("zinc_little_pct")
    if much_zinc:
        yield raised(book, "R-01b", alloy=name)
    if main == "Cu":
        yield raised(book, "R-02", alloy=name)
    if unrecorded or _share(alloy, "Ni"):
        yield raised(book, "R-03", alloy=name)
    if main == "Ag" and any(_share(alloy, part) != 0 for part in book.materials("R-38")):
        yield raised(book, "R-38", alloy=name)
    superheat = alloy.pour_c - alloy.liquidus_c
    zinc_alloy = zinc is None or zinc > book.limit("superheat_zinc_pct")
    limit = book.limit("superheat_high_zinc_c" if zinc_alloy else "superheat_high_c")
    if superheat > limit and not stop:
        yield raised(
            book, "N-15-warn", alloy=name, superheat=told(superheat, alloy, "pour_c", "liquidus_c"), limit=limit
        )
    yield from _of_figures(alloy, day)


def _of_figures(alloy: Alloy, day: DayInput) -> Iterator[Caution]:
    """Figures of an alloy that do not go together: its weight and its parts, its parts and one melting point."""
    book = day.rulebook
    if alloy.gravity_of_parts is not None:
        noble = share_of_noble_metals(alloy.composition_pct) > book.limit("noble_metal_pct")
        most = book.limit("gravity_noble_ask_pct" if noble else "gravity_ask_pct")
        if abs(alloy.specific_gravity / alloy.gravity_of_parts - 1) * 100 > most:
            given = told(say("{gravity:.2f}", gravity=alloy.specific_gravity), alloy, "specific_gravity")
            parts = told(say("{gravity:.2f}", gravity=alloy.gravity_of_parts), alloy, "composition_pct")
            yield raised(book, "gravity-ask", alloy=alloy.called, given=given, parts=parts)
    largest = max((share or 0.0 for share in alloy.composition_pct.values()), default=100.0)
    if alloy.solidus_c == alloy.liquidus_c and largest < book.limit("pure_metal_pct"):
        melts = told(alloy.liquidus_c, alloy, "solidus_c", "liquidus_c")
        yield raised(book, "melting-ask", alloy=alloy.called, melts=melts)


def _of_pattern(pattern: Pattern, day: DayInput) -> Iterator[Caution]:
    book, name, stop = day.rulebook, pattern.called, _pattern_stop(pattern, day)
    if stop:
        yield stop
    unrecorded = [words for what, words in IN_THE_KILN if getattr(pattern, what) is None]
    if unrecorded and not stop:
        yield raised(book, "pattern-ask", pattern=name, unknown=say("{parts:,}", parts=unrecorded))
    if pattern.kind is Kind.RESIN:
        yield raised(book, "R-08")
        if pattern.specific_gravity <= book.limit("resin_sinks_from_g_per_ml"):
            yield raised(
                book, "resin-floats", pattern=name, given=told(pattern.specific_gravity, pattern, "specific_gravity")
            )
    if pattern.heavy_smoke is not False:
        yield raised(book, "R-09", pattern=name)
    if pattern.kind is Kind.WAX and pattern.specific_gravity > book.limit("wax_floats_to_g_per_ml"):
        yield raised(book, "wax-sinks", pattern=name, sg=told(pattern.specific_gravity, pattern, "specific_gravity"))
    if pattern.ash:
        yield raised(book, "pattern-ash", pattern=name)
    yield raised(book, "R-07")


def _of_powder(day: DayInput) -> Iterator[Caution]:
    book, powder = day.rulebook, day.investment
    yield raised(book, "R-11")
    if powder.kind.may_be_phosphate:
        yield raised(book, "R-13")
    water, rest = powder.water_per_100, told(powder.set_min, powder, "set_min")
    given = told(water, powder, "water_per_100")
    if not book.limit("water_least_g_per_100g") <= water <= book.limit("water_most_g_per_100g"):
        yield raised(book, "N-11-stop", water=given)
    elif not book.limit("water_usual_from_g_per_100g") <= water <= book.limit("water_usual_to_g_per_100g"):
        yield raised(book, "N-11-warn", water=given)
    if powder.set_min < book.limit("rest_least_min"):
        yield raised(book, "N-12-stop", rest=rest)
    elif powder.set_min < book.limit("rest_usual_min"):
        yield raised(book, "N-12-warn", rest=rest)
    if day.gloss_off_min is not None and not flasks_in_time(day):
        needed_min = book.limit("mix_bowl_min") + book.limit("mix_flask_min")
        yield raised(book, "gloss-early", gloss=day.gloss_off_min, needed=needed_min)
