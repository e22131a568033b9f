"""Cleans the names that people type without changing how they read, and says how a paper prints them."""

import unicodedata

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from school.letters import in_a_row, missing_letters, missing_signs

MAX_GRAPHEMES = 80
MAX_CHARACTERS = 400  # the width of the column; 80 letters with several marks each fit
ZERO_WIDTH_JOINER = "\u200d"
# Characters that turn the reading direction of the text after them, also of other people's names.
BIDI_CONTROLS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


def count_graphemes(text: str) -> int:
    """Return roughly the number of letters that a reader sees; marks and joined characters do not count."""
    count = 0
    joined = False
    for letter in text:
        skin_tone = "\U0001f3fb" <= letter <= "\U0001f3ff"
        extends = letter == ZERO_WIDTH_JOINER or skin_tone or unicodedata.category(letter).startswith("M")
        count += not (extends or joined)
        joined = letter == ZERO_WIDTH_JOINER
    return count


def tidy_name(text: str) -> str:
    """Return the name in NFC with single spaces and no control characters.

    Raises `ValidationError` if nothing readable is left or the name is too long.
    """
    spaced = " ".join(text.split())
    kept = "".join(
        letter
        for letter in unicodedata.normalize("NFC", spaced)
        if unicodedata.category(letter) not in {"Cc", "Cs", "Co", "Cn"} and letter not in BIDI_CONTROLS
    )
    name = " ".join(kept.split())
    if not any(unicodedata.category(letter)[0] in "LNSP" for letter in name):
        raise ValidationError(_("Write a name that people can read."), code="empty")
    if count_graphemes(name) > MAX_GRAPHEMES or len(name) > MAX_CHARACTERS:
        raise ValidationError(_("That name is longer than 80 letters; give a shorter one."), code="long")
    return name


def unprinted_letters(typed: str) -> str:
    """Return the letters of a typed name that papers cannot print, as a sentence names them; none of no name."""
    try:
        return in_a_row(missing_letters(tidy_name(typed)))
    except ValidationError:
        return ""


def tidy_spelling(text: str) -> str:
    """Return how a name is spelled for the papers, tidied as a name; nothing stays nothing.

    Raises `ValidationError` if the papers cannot print that either.
    """
    if not text.strip():
        return ""
    spelled = tidy_name(text)
    if missing := missing_signs(spelled):
        raise ValidationError(
            _(
                "You wrote “%(entered)s”, but our papers cannot print %(missing)s. Leave that out or write it in other "
                "letters, such as Latin ones; or leave this field empty."
            ),
            code="not printed",
            params={"entered": spelled, "missing": in_a_row(missing)},
        )
    return spelled


def printed_name(name: str, spelled: str) -> str:
    """Return the name that papers print: the spelled one if they lack a letter of the name itself."""
    return spelled if spelled and missing_letters(name) else name


def name_with_spelling(name: str, spelled: str) -> str:
    """Return the name that a teacher's screen shows: as it was written, then as papers print it if that differs."""
    printed = printed_name(name, spelled)
    return name if printed == name else f"{name} ({printed})"
