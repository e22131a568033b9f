"""Past figures on a line: each a ring, a box from quartile to quartile, the median, and the default in use."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import circle, drawing, element, line, text
from casting.presenters.looking_back.learned import Line

WIDE_MM, HIGH_MM, MARGIN_MM = 110.0, 25.0, 5.0
TYPE_MM = 4.4
MIDDLE_MM = 12.5
BOX_MM = 7.0
RING_MM = 1.8
LETTER = 0.66
"""How wide a letter is, in heights of its type."""


def draw_spread(learned: Line) -> SafeString:
    """Return the distribution of a line's figures: the median is named above it, the default in use below."""
    spread, default = learned.spread, learned.default
    ends = [spread.least, spread.most, *([] if default is None else [default])]
    low, wide = min(ends), max(ends) - min(ends)

    def x(value: float) -> float:
        share = (value - low) / wide if wide else 0.5
        return MARGIN_MM + share * (WIDE_MM - 2 * MARGIN_MM)

    places = sorted({round(x(one.value), 1) for one in learned.figures})
    marks = [
        line(MARGIN_MM, MIDDLE_MM, WIDE_MM - MARGIN_MM, MIDDLE_MM, class_="quiet", stroke_width=0.2),
        element(
            "rect",
            x=x(spread.low),
            y=MIDDLE_MM - BOX_MM / 2,
            width=max(x(spread.high) - x(spread.low), 0.4),
            height=BOX_MM,
            class_="there",
            stroke="currentColor",
            stroke_width=0.3,
        ),
        *(circle(at, MIDDLE_MM, RING_MM, stroke_width=0.35) for at in places),
        line(x(spread.median), MIDDLE_MM - BOX_MM / 2, x(spread.median), MIDDLE_MM + BOX_MM / 2, stroke_width=0.9),
        _named(x(spread.median), TYPE_MM, learned.words(spread.median), "700"),
    ]
    if default is not None:
        at = x(default)
        marks += [
            line(at, MIDDLE_MM - BOX_MM / 2 - 1, at, HIGH_MM - TYPE_MM - 0.8, class_="dashed", stroke_width=0.5),
            _named(at, HIGH_MM - 1, _("now %(default)s") % {"default": learned.words(default)}, "400"),
        ]
    title = _("%(what)s: each figure, the quartiles, the median, and the default in use") % {"what": learned.called}
    return drawing(marks, title=title, width_mm=WIDE_MM, height_mm=HIGH_MM, class_="spread")


def _named(x: float, y: float, words: str, weight: str) -> SafeString:
    """Words in the middle over or under a place, moved in from the edge."""
    half = len(words) * TYPE_MM * LETTER / 2
    return text(min(max(x, half), WIDE_MM - half), y, words, TYPE_MM, text_anchor="middle", font_weight=weight)
