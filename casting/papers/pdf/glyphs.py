"""A page in the letters that the papers' fonts have; a box replaces any other."""

from __future__ import annotations

import re
import unicodedata

from school.letters import our_letters

BOX = "□"
BEYOND_ASCII = re.compile(r"[^\x00-\x7f]")


def in_our_letters(text: str) -> tuple[str, bool]:
    """Return a text with a box for each sign that no font of ours has, and whether there was one.

    Signs that show nothing are left out, also those that turn the direction of what follows.
    """
    ours, lacking = our_letters(), False

    def printed(match: re.Match[str]) -> str:
        nonlocal lacking
        sign = match[0]
        if sign in ours:
            return sign
        category = unicodedata.category(sign)
        lacking = lacking or category != "Cf"
        return "" if category in ("Cf", "Mn", "Me") else BOX

    return BEYOND_ASCII.sub(printed, text), lacking
