"""A picture of a sheet of cards, to scale: which places are used, which flask lies where."""

from __future__ import annotations

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from casting.drawings.svg import INK, QUIET, drawing, element, line, text
from casting.papers.sheets.flask_cards import Sheet
from casting.papers.sheets.label_stock import PAGE_LEFT_MM, PAGE_TOP_MM, PAPER_MM, Stock

SCALE = 0.36
"""A sheet of A4 is 76 mm wide on the screen."""
RULE_MM = 100.0
RULE_BELOW_MM = 2.5


def draw_sheet(sheet: Sheet, used: int, x_mm: float, y_mm: float) -> SafeString:
    """Return the sheet with its cards where the PDF prints them, `used` places crossed out, all nudged by x and y."""
    stock = sheet.stock
    wide, high = PAPER_MM[stock.paper]
    named = {laid.place: laid.flask.label for laid in sheet.cards}
    rule_y = PAGE_TOP_MM + RULE_BELOW_MM
    children = [
        element("rect", x=0.5, y=0.5, width=wide - 1, height=high - 1, fill="none", stroke=INK, stroke_width=1),
        line(PAGE_LEFT_MM, rule_y, PAGE_LEFT_MM + RULE_MM, rule_y, stroke=QUIET, stroke_width=0.8, class_="quiet"),
    ]
    for place in range(stock.places):
        children += _place(stock, place, named.get(place), place < used, (x_mm, y_mm))
    return drawing(children, title=_title(sheet, used), width_mm=wide, height_mm=high, class_="sheet", scale=SCALE)


def _place(stock: Stock, place: int, label: str | None, used: bool, nudge: tuple[float, float]) -> list[SafeString]:
    """The outline of one place, a cross if it is used, else the flask's letter if it takes one."""
    left, top = (edge + moved for edge, moved in zip(stock.corner(place), nudge, strict=True))
    look: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 0.8}
    if stock.cut:
        look["stroke_dasharray"] = "4 3"
    outline = element("rect", x=left, y=top, width=stock.width_mm, height=stock.height_mm, class_="place", **look)
    right, bottom = left + stock.width_mm, top + stock.height_mm
    middle = left + stock.width_mm / 2, top + stock.height_mm / 2
    if used:
        crosses = [line(left, top, right, bottom, stroke_width=0.8), line(left, bottom, right, top, stroke_width=0.8)]
        return [outline, *crosses]
    if label is None:
        return [outline]
    return [outline, text(middle[0], middle[1] + 9, label, 26, text_anchor="middle", font_weight="700")]


def _title(sheet: Sheet, used: int) -> str:
    """What the picture says to who cannot see it."""
    placed = ", ".join(
        _("%(flask)s on place %(place)d") % {"flask": laid.flask.label, "place": laid.place + 1} for laid in sheet.cards
    )
    crossed = ngettext("%(used)d place used, ", "%(used)d places used, ", used) % {"used": used} if used else ""
    return f"{sheet.stock.called}: {crossed}{placed}"
