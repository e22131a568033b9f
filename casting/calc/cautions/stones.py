"""Stones left in a wax: whether it can be cast with them, and the cautions that follow if it is."""

from __future__ import annotations

from collections.abc import Iterator

from casting.calc.cautions.rulebook import raised, told
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import DayInput, Firing, Wax
from casting.calc.values.day_plan import Caution, FlaskPlan
from casting.calc.values.enums import Kind, Stones
from casting.calc.values.marked_text import DOWN, HEAT, heat, mark, named
from casting.calc.values.sentence import say

CURE = say("set the stones after casting")


def spares_stones(firing: Firing) -> bool:
    """Return whether a firing is a plan for stones left in place, and for nothing else.

    Parameters
    ----------
    firing : Firing
        A firing of the school.

    Returns
    -------
    bool
        True if stones are all that it is for.
    """
    return firing.kinds == {Kind.STONES}


def stones_limit_c(day: DayInput) -> float:
    """Return the most that stones left in a wax meet, in the firing and in the flask at the pour.

    Parameters
    ----------
    day : DayInput
        The day, for its firings and limits.

    Returns
    -------
    float
        The lowest top of the school's firings for stones, since a kiln only falls from its top; never above the
        limit of the rulebook [degrees C].
    """
    tops = [firing.top_c for firing in day.firings if spares_stones(firing)]
    return min([day.rulebook.limit("stones_top_c"), *tops])


def stones_forbid(wax: Wax, day: DayInput) -> str | None:
    """Return why a wax with stones left in it is not cast, if so.

    Parameters
    ----------
    wax : Wax
        A wax of the day.
    day : DayInput
        The day, for its firings, its patterns and the wax's alloy.

    Returns
    -------
    str or None
        A sentence; None for a wax without stones, and for one whose stones take a firing of the school,
        in a metal that needs no quench and no hotter flask.
    """
    if wax.stones is Stones.NONE:
        return None
    top_c = day.rulebook.limit("stones_top_c")
    top = f"{top_c:g}{DOWN}{HEAT}"
    if wax.stones is Stones.OTHER:
        return say("It has stones that burnout would ruin, or nobody knows which stones they are.")
    if day.patterns[wax.pattern].kind is not Kind.WAX:
        words = "Stones are left in it. They take at most {top}, and a printed resin burns out only above that."
        return say(words, top=top)
    alloy = day.alloys[wax.alloy]
    if alloy.quench_by_min is not None:
        words = "Stones are left in it. {alloy} must be quenched soon, and stones crack in the quench."
        return say(words, alloy=named(alloy.name))
    if not any(spares_stones(firing) for firing in day.firings):
        return say("Stones are left in it. They take at most {top}, and the school has no firing for stones.", top=top)
    low_c, most_c = alloy.flask_c[wax.section][0], stones_limit_c(day)
    if low_c > most_c:
        most = f"{most_c:g}{DOWN}{HEAT}"
        star = mark(f"flask_c.{wax.section.value}", alloy.from_memory)
        words = "Stones are left in it. They are fired to {most}, and its metal asks for a flask at {low} or more."
        return say(words, most=most, low=f"{heat(low_c)}{star}")
    return None


def of_stones_firing(firing: Firing, book: Rulebook) -> Iterator[Caution]:
    """Yield the cautions about a firing for stones left in place.

    Parameters
    ----------
    firing : Firing
        A firing that `spares_stones`.
    book : Rulebook
        The limits.

    Yields
    ------
    Caution
        One if it holds its top for less time than wax needs to burn out at so low a heat.
    """
    hold_min = firing.top_hold_min
    if hold_min < book.limit("stones_hold_min"):
        yield raised(book, "stones-short", firing=firing.called, hold=told(hold_min, firing, "segments"))


def of_stones(flasks: tuple[FlaskPlan, ...], day: DayInput) -> Iterator[Caution]:
    """Yield the cautions about flasks with stones in them.

    Parameters
    ----------
    flasks : tuple of FlaskPlan
        The flasks of the plan.
    day : DayInput
        The day, for the words.

    Yields
    ------
    Caution
        For each such flask: how it is fired and cooled.
    """
    for flask in flasks:
        if flask.kind is Kind.STONES:
            yield raised(day.rulebook, "stones", flask=flask.label)
