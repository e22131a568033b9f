"""What is measured of a wax, and the flag that its tag is written on: sketches without a scale."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import INK, QUIET, WAX, circle, drawing, element, line, text

HIGH = 76.0
WIDE = 110.0


def draw_measures() -> SafeString:
    """Return a ring standing on its sprue and base, with lines for width, depth and height, each by its class."""
    x, y, radius = 50.0, 32.0, 19.0
    top, foot, front = y - radius, 66.0, 5.0
    ring: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.6, "class_": "ink"}
    wax = element("path", d=_band(x, y, radius), fill=WAX, fill_rule="evenodd", class_="wax")
    children = [
        element("path", d=f"M{x - 14} 71L{x - 5} {foot}H{x + 5}L{x + 14} 71Z", **ring),
        element("rect", x=x - 2, y=y + radius, width=4, height=foot - y - radius, fill=WAX, class_="wax"),
        circle(x + front, y - front / 2, 2 * radius, stroke=QUIET, stroke_width=0.35, class_="quiet"),
        wax,
        _dimension("width", (x - radius, 7), (x + radius, 7), _("width"), (x, 5)),
        _dimension("height", (88, top), (88, foot), _("height"), (91, (top + foot) / 2 + 2)),
        _dimension("depth", (x - 26, y + 12), (x - 18, y + 7), _("depth"), (12, y + 20)),
        line(x + radius, top, 90, top, stroke=QUIET, class_="quiet"),
        line(x + 6, foot, 90, foot, stroke=QUIET, class_="quiet"),
    ]
    title = _("A ring on its sprue: its width, its depth from front to back, its height from the foot of the sprue")
    return drawing(children, title=title, width_mm=WIDE, height_mm=HIGH, class_="measures")


def _band(x: float, y: float, radius: float) -> str:
    """A circle with a smaller one cut out of it."""
    return "".join(f"M{x - r} {y}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0Z" for r in (radius, radius - 3.5))


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
