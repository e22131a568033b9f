"""What the house rules measure: a small drawing for each of their headings, not to scale."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import INK, drawing, element, number, text

WIDTH_MM = 130.0
TYPE_MM = 4.6
TICK_MM = 1.5

Span = tuple[float, float, float]
"""A dimension: where it begins and ends, and how far down or across it lies [mm]."""


def draw_rule_group(slug: str) -> SafeString:
    """Return the drawing of a heading of the house rules; nothing for one that measures nothing."""
    return _DRAWN[slug]() if slug in _DRAWN else SafeString("")


def _flask() -> SafeString:
    return _drawn(
        [
            _path("M32 2a28 28 0 1 0 .1 0zM32 4a26 26 0 1 0 .1 0zM74 4h-2v54h56V4h-2M74 4v54M126 4v54M72 4h54"),
            _path("M32 21a9 9 0 1 0 .1 0z", stroke_dasharray="1.4 1.2"),
            _path("M13 19h15v11H13zM35 19h11v11H35zM25 43h14v9H25zM86 24h12v16H86zM104 30h10v12h-10z", fill="wax"),
            _path("M94 58l4-8h6l4 8M98 51l-5-11M104 51l4-9M31 45.5h2v2h-2z"),
            _across((28, 35, 16), (46, 57, 24), (74, 86, 32)),
            _down((39, 46.5, 32), (4, 24, 92)),
        ],
        [
            (31.5, 14, _("wax to wax"), ""),
            (50.9, 35, _("wall"), ""),
            (41, 46, _("reach"), "start"),
            (94, 15, _("cover"), "start"),
            (76, 21.5, _("wall"), "start"),
            (32, 65, _("from above"), ""),
            (100, 65, _("from the side"), ""),
        ],
        _("Room in the flask: from wax to wall, from wax to wax, a sprue's reach past the cone, and the cover"),
        67,
    )


def _button() -> SafeString:
    return _drawn(
        [
            _path("M20 4v46h40V4M16 4h4M60 4h4"),
            _path("M32 4h16l-5 9h-6zM38 13v12M42 13v12M28 25h10v14H28zM42 25h10v14H42z", fill="wax"),
            _path("M88 8c0 20 6 30 16 30s16-10 16-30"),
            _path("M89 15h30", stroke_dasharray="1.4 1.2"),
            _down((4, 13, 66), (15, 38, 82)),
            _across((88, 120, 4)),
        ],
        [
            (69, 10, _("button"), "start"),
            (40, 46, _("waxes"), ""),
            (104, 46, _("crucible"), ""),
            (104, 11.5, _("brim"), ""),
            (104, 21, _("fill to"), ""),
        ],
        _("A button over the waxes in a poured flask, and a crucible with its brim and how far it is filled"),
        52,
    )


def _minutes() -> SafeString:
    return _drawn(
        [
            _path("M2 24h126"),
            _path("M4 14h14v10H4zM30 14h14v10H30zM72 14h10v10H72zM96 14h10v10H96z", fill="wax"),
            _across((4, 30, 31), (72, 96, 31), (72, 82, 9)),
        ],
        [
            (11, 20.5, _("mix"), ""),
            (37, 20.5, _("mix"), ""),
            (17, 38, _("bowl to bowl"), ""),
            (84, 38, _("pour to pour"), ""),
            (77, 6, _("a pour takes"), ""),
        ],
        _("Minutes on the bench: from one bowl to the next, from one pour to the next, and how long a pour takes"),
        41,
    )


def _kiln() -> SafeString:
    return _drawn(
        [
            _path("M26 3h78v52H26zM20 3h6M20 55h6"),
            _path("M40 17h16v28H40zM74 17h16v28H74z", fill="wax"),
            _path("M42 45v10M54 45v10M76 45v10M88 45v10", stroke_dasharray="1.4 1.2"),
            _across((56, 74, 30)),
            _down((3, 17, 48), (45, 55, 96)),
        ],
        [
            (65, 27, _("gap"), ""),
            (50, 12, _("free over it"), "start"),
            (106, 52, _("under it"), "start"),
            (48, 33, _("flask"), ""),
            (82, 33, _("flask"), ""),
        ],
        _("Flasks in a kiln from the side: the gap between them, free under them and free over them"),
        57,
    )


_DRAWN: Mapping[str, Callable[[], SafeString]] = {
    "flask": _flask,
    "button": _button,
    "minutes": _minutes,
    "kiln": _kiln,
}


def _drawn(
    shapes: Sequence[SafeString], words: Sequence[tuple[float, float, str, str]], title: str, height_mm: float
) -> SafeString:
    """Shapes in one group of strokes, words over them in another."""
    strokes = element("g", *shapes, fill="none", stroke=INK, stroke_width=0.5, class_="ink")
    said = [text(x, y, word, TYPE_MM, text_anchor=anchor or "middle") for x, y, word, anchor in words]
    return drawing([strokes, *said], title=title, width_mm=WIDTH_MM, height_mm=height_mm, class_="rule-group")


def _path(d: str, **look: str) -> SafeString:
    """Strokes; with the fill "wax" their inside is a wax."""
    return element("path", d=d, class_="wax") if look.get("fill") == "wax" else element("path", d=d, **look)


def _across(*spans: Span) -> SafeString:
    """Dimensions from left to right, each between two ticks."""
    return _spans("h", spans, lambda at, lies: f"M{number(at)} {number(lies - TICK_MM)}v{number(2 * TICK_MM)}")


def _down(*spans: Span) -> SafeString:
    """Dimensions from above to below."""
    return _spans("v", spans, lambda at, lies: f"M{number(lies - TICK_MM)} {number(at)}h{number(2 * TICK_MM)}")


def _spans(way: str, spans: Sequence[Span], tick: Callable[[float, float], str]) -> SafeString:
    strokes = []
    for begins, ends, lies in spans:
        x, y = (begins, lies) if way == "h" else (lies, begins)
        strokes.append(f"M{number(x)} {number(y)}{way}{number(ends - begins)}{tick(begins, lies)}{tick(ends, lies)}")
    return element("path", d="".join(strokes), class_="quiet")
