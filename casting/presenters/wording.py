"""The sentences of the core in the reader's language and the school's units: words from their own catalogue,
figures filled in anew.

The catalogue is `casting/locale/LANGUAGE/LC_MESSAGES/core.po`: its msgids are the English words of `calc` and `dayfile`
with their places (`casting/calc/values/sentence.py`), and, in the context `name`, the names that a school starts with.
Without an entry the English stands.
"""

from __future__ import annotations

import gettext
import re
from functools import cache
from pathlib import Path

from django.utils.text import capfirst
from django.utils.translation import get_language

from casting.calc.values.marked_text import DOWN, FLASK_SIZE, FROM_MEMORY, MARKED, NEAREST, UP
from casting.calc.values.sentence import Sentence, filled_in
from casting.presenters import weights
from casting.presenters.formats import NARROW_SPACE, SchoolUnits, in_celsius, in_fahrenheit, own_decimals
from casting.presenters.lengths import UNIT, in_sentence, of_a_flask
from casting.units import Mass, Temperature

DOMAIN, NAME = "core", "name"
POINT = "\ue010"
"""The point of a number, until it is known what stands after the number."""
OWN_POINT = re.compile(rf"{POINT}(?=\d+(?:{re.escape(FROM_MEMORY)})?[{DOWN}{UP}{NEAREST}])")
"""The point of a marked figure, which `in_units` reads and words."""
LENGTH = re.compile(r"(?<=\}) mm\b")
"""The unit of a length in the words of a sentence, after the place of its figure; what a school typed has none."""
LOCALE = Path(__file__).resolve().parent.parent / "locale"


@cache
def catalogue(language: str) -> gettext.NullTranslations:
    """Return the core's words in a language; empty for one that there are none in."""
    return gettext.translation(DOMAIN, LOCALE, [language], fallback=True)


def reworded(sentence: str, *, inches: bool = False, scale: bool = False) -> str:
    """Return a sentence of the core in the reader's language, its figures still in the plan's units.

    Text that is no sentence, and one whose words nobody has translated, stays English. With `inches` the unit of each
    length is `lengths.UNIT`, for who gives it in inches; with `scale` the weights are `weights.marked`.
    """
    language = (get_language() or "en").partition("-")[0]
    if not isinstance(sentence, Sentence) or (language == "en" and not inches and not scale):
        return str(sentence)
    words = catalogue(language)

    def reword(one: Sentence) -> str:
        said = words.gettext(one.words) if one.words else ""  # an empty text is the head of a catalogue
        said = LENGTH.sub(UNIT, said) if inches else said
        said = weights.marked(said) if scale else said
        return filled_in(said, one.figures, reword, lambda number: number.replace(".", POINT), name)

    def name(one: str) -> str:
        return words.pgettext(NAME, one) if one else ""

    return OWN_POINT.sub(".", reword(sentence)).replace(POINT, own_decimals("."))


def shelf_name(english: str) -> str:
    """Return what a thing of the shelf is called in the reader's language; any other name stays."""
    language = (get_language() or "en").partition("-")[0]
    return capfirst(catalogue(language).pgettext(NAME, english)) if english else ""


def in_units(sentence: str, units: SchoolUnits) -> str:
    """Return a sentence of the core in the reader's language and the school's units.

    Its temperatures and flask sizes are marked (`calc.values.marked_text`); a length is a figure before " mm", a weight
    one before " g".
    The mark of a set point is as wide as a digit, so people see a narrow space in its place.
    """
    fahrenheit = units.temperature is Temperature.FAHRENHEIT
    scale = units.weight is not Mass.GRAM
    said = in_sentence(reworded(sentence, inches=units.inches, scale=scale), units)
    said = weights.in_sentence(said, units)
    said = MARKED.sub(in_fahrenheit if fahrenheit else in_celsius, said)
    said = FLASK_SIZE.sub(lambda size: of_a_flask([float(size[1]), float(size[2])], units), said)
    return said.replace(NEAREST, NARROW_SPACE)
