"""Names as people give them, tidied but not changed."""

import unicodedata

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

MOST_GRAPHEMES = 80
MOST_CHARACTERS = 400  # what a column holds; 80 letters with several marks each fit
ZERO_WIDTH_JOINER = "\u200d"
# Marks that turn the reading direction of what follows, on other people's lines too.
TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


def graphemes(text: str) -> int:
    """Return about how many letters a reader sees: marks, joiners and what they join count once."""
    count = 0
    joined = False
    for letter in text:
        skin_tone = "\U0001f3fb" <= letter <= "\U0001f3ff"
        extends = letter == ZERO_WIDTH_JOINER or skin_tone or unicodedata.category(letter).startswith("M")
        count += not (extends or joined)
        joined = letter == ZERO_WIDTH_JOINER
    return count


def tidy_name(text: str) -> str:
    """Return the name in NFC, without control characters, its spaces single; raise if empty or too long."""
    spaced = " ".join(text.split())
    kept = "".join(
        letter
        for letter in unicodedata.normalize("NFC", spaced)
        if unicodedata.category(letter) not in {"Cc", "Cs", "Co", "Cn"} and letter not in TURNING
    )
    name = " ".join(kept.split())
    if not any(unicodedata.category(letter)[0] in "LNSP" for letter in name):
        raise ValidationError(_("Write a name that people can read."), code="empty")
    if graphemes(name) > MOST_GRAPHEMES or len(name) > MOST_CHARACTERS:
        raise ValidationError(_("That name is longer than 80 letters; give a shorter one."), code="long")
    return name
