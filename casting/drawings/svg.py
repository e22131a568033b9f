"""The few SVG elements that the drawings are made of; every text is escaped here."""

from __future__ import annotations

import html
from collections.abc import Iterable

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

INK = "currentColor"
INK_ON_PAPER = "#000"
QUIET = "#606060"
HOT = "#8a4218"
WAX = "#ecdcc4"
FONT = "Bench Sans, system-ui, sans-serif"


def number(value: float) -> str:
    """Return a length to a thousandth, with no idle zeros."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if round(value, 3) else "0"


def element(name: str, *children: SafeString, **attributes: str | float) -> SafeString:
    """Return an element; an underscore in an attribute's name becomes a hyphen."""
    parts = [name]
    for key, value in attributes.items():
        shown = html.escape(value) if isinstance(value, str) else number(value)
        parts.append(f'{key.rstrip("_").replace("_", "-")}="{shown}"')
    head = " ".join(parts)
    # Every piece is escaped above, or was made here.
    return mark_safe(f"<{head}>{''.join(children)}</{name}>" if children else f"<{head}/>")  # noqa: S308


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float) -> SafeString:
    """Return a line in ink, a hairline unless told."""
    look: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.2, "class_": "ink"}
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **(look | attributes))


def circle(x: float, y: float, diameter: float, **attributes: str | float) -> SafeString:
    """Return an open circle in ink."""
    look: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.2, "class_": "ink"}
    return element("circle", cx=x, cy=y, r=diameter / 2, **(look | attributes))


def text(x: float, y: float, words: str, size: float, **attributes: str | float) -> SafeString:
    """Return a line of text; `size` is its height in mm."""
    look: dict[str, str | float] = {"font_size": size, "fill": INK, "class_": "words"}
    return element("text", escape(words), x=x, y=y, **(look | attributes))


def drawing(
    children: Iterable[SafeString],
    *,
    title: str,
    width_mm: float,
    height_mm: float,
    class_: str,
    scale: float = 1,
) -> SafeString:
    """Return the whole drawing; `title` is what it says to who cannot see it."""
    return element(
        "svg",
        element("title", escape(title)),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        class_=f"drawing {class_}",
        role="img",
        viewBox=f"0 0 {number(width_mm)} {number(height_mm)}",
        width=f"{number(width_mm * scale)}mm",
        height=f"{number(height_mm * scale)}mm",
        font_family=FONT,
        color=INK_ON_PAPER,
    )
