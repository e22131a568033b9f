"""Raises a rule of the rulebook as a caution, with the figures in its words."""

from __future__ import annotations

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_plan import Caution
from casting.calc.values.marked_text import named


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
        The rule's own limits fill theirs by name.

    Returns
    -------
    Caution
        Its basis names the source, and says so if that is memory.
    """
    rule = book.rules[id]
    limits = {limit.name: limit.value for limit in rule.limits.values()}
    written = {name: _written(value) for name, value in (limits | figures).items()}
    return Caution(rule.id, rule.level, rule.when, rule.text.format_map(written), rule.basis)


def _written(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else named(str(value))
