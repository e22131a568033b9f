"""Cautions about sprues: thick parts that a thin one cuts off from the metal."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Caution


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
        f"wax {wax.key} ({wax.thick_parts} thick parts)"
        for wax in day.waxes
        if wax.key not in done and wax.thick_parts is not None and wax.thick_parts > 1
    ]
    if told:
        yield raised(day.rulebook, "sprue-each", waxes=", ".join(told))
