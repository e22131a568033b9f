"""Minifies a drawing for paper: the same ink in fewer elements, as each element takes time in the PDF.

It drops what only a screen uses: classes, tooltips and rotations by zero. Consecutive lines of the same
style become one path. A centred text is placed by its left end, from its width in the papers' own font.
"""

from __future__ import annotations

import re
from functools import cache
from html import unescape
from itertools import groupby
from pathlib import Path

from django.utils.safestring import SafeString, mark_safe
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parents[3] / "static" / "fonts"
NAMED = re.compile(r"<g><title>[^<]*</title>(.*?)</g>", re.DOTALL)
CLASS = re.compile(r' class="[^"]*"')
NO_TURN = re.compile(r' transform="rotate\(0 [^"]*\)"')
LINE = re.compile(r'<line x1="(\S+)" y1="(\S+)" x2="(\S+)" y2="(\S+)"([^>]*)/>')
LINES = re.compile(rf"(?:{LINE.pattern})+")
CENTRED = re.compile(r'<text x="([^"]*)" y="([^"]*)" font-size="([^"]*)"([^>]*) text-anchor="middle"([^>]*)>([^<]*)<')


def lean(drawing: SafeString) -> SafeString:
    """Return the drawing minified for paper; its own title stays."""
    head, title, rest = drawing.partition("</title>")
    rest = NO_TURN.sub("", CLASS.sub("", NAMED.sub(r"\1", rest)))
    rest = CENTRED.sub(_begun, LINES.sub(_joined, rest))
    return mark_safe(head + title + rest)  # noqa: S308 (nothing is added to what was escaped)


def _joined(lines: re.Match[str]) -> str:
    """Lines of the same style as one path."""
    runs = groupby(LINE.findall(lines[0]), key=lambda found: found[4])
    paths = ((look, "".join(f"M{x1} {y1}L{x2} {y2}" for x1, y1, x2, y2, _look in run)) for look, run in runs)
    return "".join(f'<path d="{d}" fill="none"{look}/>' for look, d in paths)


def _begun(found: re.Match[str]) -> str:
    """A centred text placed by its left end; one with letters missing from the font stays centred."""
    x, y, size, before, after, words = found.groups()
    bold = 'font-weight="700"' in before + after
    wide = width_of(unescape(words), bold)
    if wide is None:
        return found[0]
    return f'<text x="{float(x) - wide * float(size) / 2:.3f}" y="{y}" font-size="{size}"{before}{after}>{words}<'


def width_of(words: str, bold: bool = False) -> float | None:
    """Return the width of a text as a fraction of its type size; None if the font lacks one of its letters."""
    widths = _widths(700 if bold else 400)
    found = [widths.get(letter) for letter in words]
    return None if None in found else sum(width for width in found if width is not None)


@cache
def _widths(weight: int) -> dict[str, float]:
    """The advance width of each letter of the papers' font, as a fraction of the type size."""
    with TTFont(FONTS / f"bench-sans-{weight}.ttf", lazy=True) as font:
        letters, advances = font.getBestCmap(), font["hmtx"]
        return {chr(code): advances[name][0] / font["head"].unitsPerEm for code, name in letters.items()}
