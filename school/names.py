"""Cleans the names that people type without changing how they read, and says how a paper prints them."""

import difflib
import unicodedata

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from school.letters import in_a_row, missing_letters, missing_signs

NEAR_ENOUGH = 0.85
"""Of 1: one slip in a name of seven letters is near, two names of one family are not. From trying invented names."""

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


def tidy_text(text: str) -> str:
    """Return a line of text in NFC with single spaces, without control characters."""
    spaced = " ".join(text.split())
    kept = "".join(
        letter
        for letter in unicodedata.normalize("NFC", spaced)
        if unicodedata.category(letter) not in {"Cc", "Cs", "Co", "Cn"} and letter not in BIDI_CONTROLS
    )
    return " ".join(kept.split())


def tidy_name(text: str) -> str:
    """Return the name in NFC with single spaces and no control characters.

    Raises `ValidationError` if nothing readable is left or the name is too long.
    """
    name = tidy_text(text)
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


def name_key(name: str) -> str:
    """Return what two spellings of one name have in common: no case, and single spaces."""
    return unicodedata.normalize("NFKC", " ".join(name.split())).casefold()


def are_near(one: str, other: str) -> bool:
    """Tell whether two names may be of one person: alike but for accents, dots or a slip, or one begins the other."""
    first, second = sorted((_bare(one), _bare(other)), key=len)
    if not first or not second:
        return False
    # A first name, or a first name with an initial, may stand for the whole name; so may a slip of a letter or two.
    return second.startswith(first) or difflib.SequenceMatcher(None, first, second).ratio() >= NEAR_ENOUGH


def _bare(name: str) -> str:
    """The letters and digits of a name, without case and accents, with single spaces between."""
    split = unicodedata.normalize("NFKD", name).casefold()
    return " ".join("".join(sign if sign.isalnum() else " " for sign in split if not _is_mark(sign)).split())


def _is_mark(sign: str) -> bool:
    return unicodedata.category(sign).startswith("M")


def told_apart(name: str, taken: set[str]) -> str:
    """Return the name with the first number behind it that nobody in the class has: Ana M. (2)."""
    return next(one for nth in range(2, len(taken) + 3) if name_key(one := f"{name} ({nth})") not in taken)
