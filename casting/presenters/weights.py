"""Weights in a sentence of the core on the school's own scale, with their grams behind them.

What is weighed for the bench's mix stays in grams: powder and water are weighed on a scale in grams everywhere.
"""

from __future__ import annotations

import re
from decimal import Decimal

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters.formats import SchoolUnits, other_to_weigh, other_weight

UNIT = "\ue012"
"""What stands for " g" after the figure of a weight in a sentence, until the school's unit is known."""
TO_WEIGH = "\ue013"
"""The same after a charge, as it is or as it was: it reads as on the weigh-out list, rounded up."""
PLACE = re.compile(r"(\{(?!\w*(?:powder|water))(charge|before|now)?\w*(?::[^}]*)?\}) g\b(?!/)")
"""A figure of metal or wax in the words of a sentence, with its unit; of powder and water none, and no gravity."""
IN_SENTENCE = re.compile(rf"(\d+(?:[.,]\d+)?)((?:{re.escape(FROM_MEMORY)})?)([{UNIT}{TO_WEIGH}])")


def marked(words: str) -> str:
    """Return the words of a sentence with what stands for the unit of each weight."""
    return PLACE.sub(lambda place: place[1] + (TO_WEIGH if place[2] else UNIT), words)


def in_sentence(sentence: str, units: SchoolUnits) -> str:
    """Return a sentence with its weights, which stand before `UNIT`, in the school's unit with their grams."""

    def worded(found: re.Match[str]) -> str:
        in_grams = f"{found[1]}{found[2]} g"
        weight_g = Decimal(found[1].replace(",", "."))
        other = other_to_weigh(float(weight_g), units) if found[3] == TO_WEIGH else other_weight(weight_g, units)
        return f"{other} ({in_grams})" if other else in_grams

    return IN_SENTENCE.sub(worded, sentence).replace(UNIT, " g").replace(TO_WEIGH, " g")
