"""Weights in a sentence of the core on the school's own scale, with their grams behind them.

What is weighed for the bench's mix stays in grams: powder and water are weighed on a scale in grams everywhere.
"""

from __future__ import annotations

import re
from decimal import Decimal

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.formats import SchoolUnits, other_weight

UNIT = "\ue012"
"""What stands for " g" after the figure of a weight in a sentence, until the school's unit is known."""
PLACE = re.compile(r"(\{(?!\w*(?:powder|water))\w+(?::[^}]*)?\}) g\b(?!/)")
"""A figure of metal or wax in the words of a sentence, with its unit; of powder and water none, and no gravity."""
IN_SENTENCE = re.compile(rf"(\d+(?:[.,]\d+)?)((?:{re.escape(FROM_MEMORY)})?){UNIT}")


def in_sentence(sentence: str, units: SchoolUnits) -> str:
    """Return a sentence with its weights, which stand before `UNIT`, in the school's unit with their grams."""

    def worded(found: re.Match[str]) -> str:
        in_grams = f"{found[1]}{found[2]} g"
        other = other_weight(Decimal(found[1].replace(",", ".")), units)
        return f"{other} ({in_grams})" if other else in_grams

    return IN_SENTENCE.sub(worded, sentence).replace(UNIT, " g")
