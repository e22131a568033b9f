"""What is measured of a wax, and the flag that its tag is written on: sketches without a scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from casting.drawings.svg import INK, QUIET, WAX, drawing, element, line, text

HIGH = 76.0
WIDE = 110.0
MIDDLE, FOOT = 50.0, 66.0


@dataclass(frozen=True, slots=True)
class Shape:
    """A piece as it stands on its sprue: its outline, and where that begins and ends."""

    outline: str
    left: float
    right: float
    top: float
    bottom: float
    hole: str = ""


SHAPES: Mapping[str, Shape] = {
    "ring": Shape(
        "M31 32a19 19 0 1 0 38 0a19 19 0 1 0 -38 0Z",
        31,
        69,
        13,
        51,
        "M34.5 32a15.5 15.5 0 1 0 31 0a15.5 15.5 0 1 0 -31 0Z",
    ),
    "pendant": Shape(
        "M50 13C55 24 64 30 64 41a14 14 0 0 1 -28 0C36 30 45 24 50 13Z",
        36,
        64,
        13,
        55,
        "M47 22a3 3 0 1 0 6 0a3 3 0 1 0 -6 0Z",
    ),
    "brooch": Shape("M28 34C28 20 42 18 50 26C58 18 72 20 72 34C72 48 58 46 50 40C42 46 28 48 28 34Z", 28, 72, 21, 45),
    "free": Shape(
        "M36 46C30 38 36 31 41 24C47 14 58 16 58 25C58 31 68 32 66 41C64 49 56 48 50 51C44 51 40 51 36 46Z",
        33,
        66,
        18,
        51,
    ),
}
"""Sketches in a box of our own; a brooch stands on the foot of its middle."""


def draw_measures(of: str = "ring") -> SafeString:
    """Return a piece standing on its sprue and base, with lines for width, depth and height, each by its class."""
    return _drawn(of, get_language() or "")


@cache
def _drawn(of: str, _language: str) -> SafeString:
    shape = SHAPES[of]
    x, top, front = MIDDLE, shape.top, 5.0
    low = 40.0 if of == "brooch" else shape.bottom
    ink: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.6, "class_": "ink"}
    quiet: dict[str, str | float] = {"fill": "none", "stroke": QUIET, "stroke_width": 0.35, "class_": "quiet"}
    children = [
        element("path", d=f"M{x - 14} 71L{x - 5} {FOOT}H{x + 5}L{x + 14} 71Z", **ink),
        element("rect", x=x - 2, y=low, width=4, height=FOOT - low, fill=WAX, class_="wax"),
        element("path", d=shape.outline, transform=f"translate({front} {-front / 2})", **quiet),
        element("path", d=shape.outline + shape.hole, fill=WAX, fill_rule="evenodd", class_="wax"),
        _dimension("width", (shape.left, 7), (shape.right, 7), _("width"), (x, 5)),
        _dimension("height", (88, top), (88, FOOT), _("height"), (91, (top + FOOT) / 2 + 2)),
        _dimension("depth", (24, 44), (32, 39), _("depth"), (10, 52)),
        line(x + 10, top, 90, top, stroke=QUIET, class_="quiet"),
        line(x + 6, FOOT, 90, FOOT, stroke=QUIET, class_="quiet"),
    ]
    title = _("On its sprue: its width, its depth from front to back, its height from the foot of the sprue")
    return drawing(children, title=title, width_mm=WIDE, height_mm=HIGH, class_="measures " + f"of-{of}")


def _dimension(
    of: str, start: tuple[float, float], end: tuple[float, float], words: str, at: tuple[float, float]
) -> SafeString:
    """One dimension line with its word; the page sets it in heavy ink while its field has the focus."""
    anchor = "middle" if of == "width" else "start"
    return element("g", line(*start, *end), text(*at, words, 5.0, text_anchor=anchor), class_=f"dimension {of}")


def draw_tag(tag: str) -> SafeString:
    """Return a paper flag round a sprue, with the tag in large letters."""
    children = [
        line(8, 2, 8, 40, stroke_width=3),
        element("path", d="M8 6H70V34H8Z", fill="none", stroke=INK, stroke_width=0.8, class_="ink"),
        text(40, 29, tag, 25.4, text_anchor="middle", font_weight="700"),
    ]
    return drawing(
        children, title=_("A flag with the tag %(tag)s") % {"tag": tag}, width_mm=74, height_mm=42, class_="flag"
    )
