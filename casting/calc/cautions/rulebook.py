"""Raises a rule of the rulebook as a caution, with the figures in its words."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Protocol

from casting.calc.values.caution_rule import Limit, Rulebook
from casting.calc.values.day_plan import Caution
from casting.calc.values.enums import Status
from casting.calc.values.marked_text import FROM_MEMORY, mark, named
from casting.calc.values.sentence import Figure, Sentence, places_of, starred


class OnShelf(Protocol):
    """A thing of the shelf, which names its figures from memory."""

    @property
    def from_memory(self) -> Collection[str]:
        """The names of the figures."""
        ...


@dataclass(frozen=True, slots=True)
class Told:
    """A value for a rule's words, with what stands after it."""

    value: object
    mark: str


def told(value: object, thing: OnShelf, *figures: str) -> Told:
    """Return a value for a rule's words.

    Parameters
    ----------
    value : object
        What is filled in, in the unit that the words name.
    thing : OnShelf
        What the value comes from.
    *figures : str
        The names of the figures that it comes from.

    Returns
    -------
    Told
        Marked if any of these figures is from memory.
    """
    return Told(value, next(filter(None, (mark(figure, thing.from_memory) for figure in figures)), ""))


def raised(book: Rulebook, id: str, /, **figures: object) -> Caution:
    """Return the caution of a rule with its figures filled in.

    Parameters
    ----------
    book : Rulebook
        The rules and limits.
    id : str
        The rule; KeyError if there is none.
    **figures : object
        The values for the braces in the rule's words, numbers in the unit that the words name.
        The rule's own limits fill theirs by name, marked where they are from memory.

    Returns
    -------
    Caution
        Its basis names the source, and says so if that is memory.
    """
    rule = book.rules[id]
    limits = {limit.name: _of_limit(limit) for limit in rule.limits.values()}
    said = {name: _figure((limits | figures)[name]) for name, _spec in places_of(rule.text)}
    return Caution(rule.id, rule.level, rule.when, Sentence(rule.text, said), rule.basis)


def _of_limit(limit: Limit) -> Told:
    return Told(limit.value, FROM_MEMORY if limit.status == Status.MEMORY else "")


def _figure(value: object) -> Figure:
    if isinstance(value, Told):
        return starred(_figure(value.value), value.mark)
    if isinstance(value, Sentence | int | float):
        return value
    return tuple(map(_figure, value)) if isinstance(value, list | tuple) else named(str(value))
