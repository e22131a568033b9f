"""The sentences of the core in the reader's language: words from their own catalogue, figures filled in anew.

The catalogue is `casting/locale/LANGUAGE/LC_MESSAGES/core.po`: its msgids are the English words of `calc` and `dayfile`
with their places (`casting/calc/values/sentence.py`), and, in the context `name`, the names that a school starts with.
Without an entry the English stands.
"""

from __future__ import annotations

import gettext
import re
from functools import cache
from pathlib import Path

from django.utils import formats
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from casting.calc.values.marked_text import DOWN, FROM_MEMORY, NEAREST, UP
from casting.calc.values.sentence import Sentence, filled_in

DOMAIN, NAME = "core", "name"
POINT = "\ue010"
"""The point of a number, until it is known what stands after the number."""
OWN_POINT = re.compile(rf"{POINT}(?=\d+(?:{re.escape(FROM_MEMORY)})?[{DOWN}{UP}{NEAREST}])")
"""The point of a marked figure, which `formats.in_units` reads and words."""
LOCALE = Path(__file__).resolve().parent.parent / "locale"


@cache
def catalogue(language: str) -> gettext.NullTranslations:
    """Return the core's words in a language; empty for one that there are none in."""
    return gettext.translation(DOMAIN, LOCALE, [language], fallback=True)


def reworded(sentence: str) -> str:
    """Return a sentence of the core in the reader's language, its figures still in the plan's units.

    Text that is no sentence, and one whose words nobody has translated, stays English.
    """
    language = (get_language() or "en").partition("-")[0]
    if language == "en" or not isinstance(sentence, Sentence):
        return str(sentence)
    words = catalogue(language)

    def reword(one: Sentence) -> str:
        return filled_in(words.gettext(one.words), one.figures, reword, lambda number: number.replace(".", POINT), name)

    def name(one: str) -> str:
        return words.pgettext(NAME, one) if one else ""

    return OWN_POINT.sub(".", reword(sentence)).replace(POINT, own_decimals("."))


def own_decimals(english: str) -> str:
    """Return a number with the reader's own decimal sign."""
    return english.replace(".", formats.get_format("DECIMAL_SEPARATOR"))


def in_celsius(marked: re.Match[str]) -> str:
    """Return a marked figure (`MARKED`) as it is, with the reader's own decimal sign and word for a degree."""
    about, number, star, space, unit = (part or "" for part in marked.groups())
    return f"{about}{own_decimals(number)}{star}{space}{unit_word(unit)}"


def unit_word(unit: str) -> str:
    """Return the unit of a marked figure; that of a difference is a word."""
    return _("degrees %(scale)s") % {"scale": unit[-1]} if unit.startswith("degrees") else unit
