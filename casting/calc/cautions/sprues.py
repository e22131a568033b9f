"""Cautions about sprues: thick parts that a thin one cuts off from the metal."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution, FlaskPlan
from casting.calc.values.marked_text import named
from casting.calc.values.sentence import say


def of_sprues(day: DayInput, done: Collection[str] = ()) -> Iterator[Caution]:
    """Yield the cautions about the sprues of a day's waxes.

    Parameters
    ----------
    day : DayInput
        The day.
    done : collection of str
        Keys of waxes that are invested: no sprue of theirs can be changed.

    Yields
    ------
    Caution
        One that names each wax with more than one thick part and thinner ones between them.
    """
    told = [
        say("wax {wax} ({parts} thick parts)", wax=named(wax.key), parts=wax.thick_parts)
        for wax in day.waxes
        if wax.key not in done and wax.thick_parts is not None and wax.thick_parts > 1
    ]
    if told:
        yield raised(day.rulebook, "sprue-each", waxes=say("{waxes:,}", waxes=told))


def of_reach(flasks: Iterable[FlaskPlan], day: DayInput) -> Iterator[Caution]:
    """Yield a caution for each wax that stands beyond the reach because the teacher allowed it.

    Parameters
    ----------
    flasks : iterable of FlaskPlan
        The flasks as planned.
    day : DayInput
        The day; what is invested is told no more.

    Yields
    ------
    Caution
        How far beyond its foot stands, and why.
    """
    for flask in flasks:
        for key, (beyond_mm, reason) in sorted(flask.beyond_reach.items()) if flask.label not in day.fixed else ():
            why = reason.rstrip(" .")
            yield raised(day.rulebook, "reach-overruled", wax=key, flask=flask.label, beyond=beyond_mm, reason=why)
