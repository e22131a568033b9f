"""What a caution says: the rules of `fixtures/cautions.json` as values, filled in when one is raised."""

from __future__ import annotations

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_plan import Caution
from casting.calc.values.marked_text import named


def raised(rules: Rulebook, id: str, /, **figures: object) -> Caution:
    """Return the caution of a rule with its figures filled in.

    Parameters
    ----------
    rules : Rulebook
        The rules by id.
    id : str
        The rule; KeyError if there is none.
    **figures : object
        What stands in braces in the rule's words, numbers in the unit that the words name [as said].

    Returns
    -------
    Caution
        Its basis names the source, and says so if that is memory.
    """
    rule = rules[id]
    written = {name: _written(value) for name, value in figures.items()}
    return Caution(rule.id, rule.level, rule.when, rule.text.format_map(written), rule.basis)


def _written(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else named(str(value))
