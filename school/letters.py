"""The letters that the papers' fonts have, so that a name they lack is spelled in others."""

from __future__ import annotations

import unicodedata
from functools import cache

from django.conf import settings
from fontTools.ttLib import TTFont

SYMBOLS = frozenset({"So", "Sk", "Me"})
"""The kinds of signs that emoji are made of."""


@cache
def our_letters() -> frozenset[str]:
    """Return every sign beyond ASCII that one of the papers' fonts draws."""
    codes: set[int] = set()
    for path in (settings.BASE_DIR / "static" / "fonts").glob("*-400.ttf"):
        with TTFont(path) as font:
            codes |= font.getBestCmap().keys()
    return frozenset(chr(code) for code in codes if code > 0x7F)


def missing_signs(text: str) -> str:
    """Return the signs of a text that no paper prints, each once; those that show nothing are left out."""
    lacking = (sign for sign in text if sign > "\x7f" and sign not in our_letters())
    return "".join(dict.fromkeys(sign for sign in lacking if not _shows_nothing(sign)))


def missing_letters(text: str) -> str:
    """Return the signs of a text that no paper prints, each once, without emoji: nobody spells a name with those."""
    return "".join(sign for sign in missing_signs(text) if unicodedata.category(sign) not in SYMBOLS)


def in_a_row(signs: str, most: int = 8) -> str:
    """Return signs as a sentence names them, with a comma between them; three dots stand for those after `most`."""
    return ", ".join([*signs[:most], *(["…"] if len(signs) > most else [])])


def _shows_nothing(sign: str) -> bool:
    return unicodedata.category(sign) == "Cf" or unicodedata.name(sign, "").startswith("VARIATION SELECTOR")
