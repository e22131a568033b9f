"""A figure over the months of a year as bars, a part of each filled."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.drawings.svg import drawing, element, line, text
from casting.presenters.looking_back.year_page import Plot

WIDE_MM, HIGH_MM = 110.0, 46.0
TYPE_MM = 4.0
FLOOR_MM, TOP_MM = HIGH_MM - TYPE_MM - 2, TYPE_MM + 3
BAR = 0.7
"""How much of its month a bar takes."""


def draw_months(plot: Plot) -> SafeString:
    """Return the bars from the first month to the last; the highest is named at the top left."""
    most = max((value for value in plot.values if value), default=0.0)
    step = WIDE_MM / len(plot.values)
    marks = [line(0, FLOOR_MM, WIDE_MM, FLOOR_MM, stroke_width=0.3)]
    for nth, (name, value, part) in enumerate(zip(plot.months, plot.values, plot.parts, strict=True)):
        left = step * (nth + (1 - BAR) / 2)
        if value and most:
            marks.append(_bar(left, step * BAR, value / most, "bar"))
        if value and part and most:
            marks.append(_bar(left, step * BAR, min(part, value) / most, "part"))
        marks.append(text(step * (nth + 0.5), HIGH_MM - 1.4, name, TYPE_MM, text_anchor="middle"))
    if most:
        height = TOP_MM
        marks += [
            line(0, height, WIDE_MM, height, class_="dashed", stroke_width=0.2),
            text(0, height - 1.2, plot.most, TYPE_MM, font_weight="700"),
        ]
    title = _("%(what)s, month by month") % {"what": plot.called}
    return drawing(marks, title=title, width_mm=WIDE_MM, height_mm=HIGH_MM, class_="months")


def _bar(left: float, wide: float, share: float, class_: str) -> SafeString:
    high = share * (FLOOR_MM - TOP_MM)
    return element("rect", x=left, y=FLOOR_MM - high, width=wide, height=high, class_=class_, stroke_width=0.3)
