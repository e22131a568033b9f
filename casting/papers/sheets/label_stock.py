"""Sheets of cards: which card takes a flask at true scale, and where each card lies on its sheet."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.utils.translation import pgettext

from casting.drawings.flask import ABOVE_MM, BELOW_MM, SIDE_MM
from casting.drawings.svg import number

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
PAD_MM = 1.5
BETWEEN_VIEWS_MM = 2.0
BESIDE_MM = 47.0
"""What the words take beside two views."""
STACKED_MM = 70.0
"""What the words take beside two views, one over the other."""
BELOW_CARD_MM = 27.0
"""What the words take below two views."""
TAGS_ABOVE_MM, TAGS_LINE_MM = 0.8, 3.5
TAGS_A_LINE = 6

USED_BELOW_MM = {"beside": 0.0, "stacked": 0.0, "below": 18.0}
"""What the words take at the left below the views, by the layout of a card."""
LEFT_OF_TICKS_MM = 96.0
"""How wide that is where the boxes to tick stand below the views too."""
PHOTO_LEAST_MM, PHOTO_MOST_MM, PHOTO_GAP_MM, CAPTION_MM = 7.0, 16.0, 1.5, 4.0

PAGE_LEFT_MM, PAGE_TOP_MM = 10.0, 17.0
"""The margins of the sheet in `flask-cards.css`, where its content begins."""

PAPER_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
NUDGE_MM = 5.0
"""So far cards may be nudged: a printer that is off by more needs its settings looked at."""
EDGE_MM, HEAD_MM, FOOT_MM = 5.0, 21.5, 10.5
"""Where no card may lie: the printer's edge at the sides, the head with its check rule, the foot."""


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of sheet. `cut`: the cards are cut apart along printed lines. No `views`: labels without drawings."""

    key: str
    name: str
    paper: str
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    gap_x_mm: float
    gap_y_mm: float
    cut: bool
    views: bool = True

    @property
    def called(self) -> str:
        """Its name in the reader's language."""
        return pgettext("label stock", self.name)

    @property
    def places(self) -> int:
        """Cards on a sheet."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Upper left corner of a card, from that of the paper; places count along the rows."""
        row, column = divmod(place, self.columns)
        left = self.left_mm + column * (self.width_mm + self.gap_x_mm)
        return left, self.top_mm + row * (self.height_mm + self.gap_y_mm)

    def nudge_room(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return the least and most that its cards may be nudged right, then down, to stay where cards may lie."""
        wide, high = PAPER_MM[self.paper]
        (left, top), (last_left, last_top) = self.corner(0), self.corner(self.places - 1)
        across = EDGE_MM - left, wide - EDGE_MM - last_left - self.width_mm
        down = HEAD_MM - top, high - FOOT_MM - last_top - self.height_mm
        return _at_most_the_nudge(*across), _at_most_the_nudge(*down)


def _at_most_the_nudge(least: float, most: float) -> tuple[float, float]:
    """Whole tenths, no wider than was measured."""
    least, most = math.ceil(round(least * 10, 6)) / 10, math.floor(round(most * 10, 6)) / 10
    return max(least, -NUDGE_MM), min(most, NUDGE_MM)


@cache
def all_stock() -> tuple[Stock, ...]:
    """Return the sheets of `fixtures/label_stock.json`."""
    rows: dict[str, Any] = json.loads((FIXTURES / "label_stock.json").read_text(encoding="utf-8"))
    return tuple(Stock(**row) for row in rows["stock"])


def stock_of(key: str) -> Stock:
    """Return the sheet of that key; KeyError if there is none."""
    for stock in all_stock():
        if stock.key == key:
            return stock
    raise KeyError(key)


def plain_stock(paper: str) -> list[Stock]:
    """Return the sheets of plain paper that are cut apart, the most cards first."""
    ours = [stock for stock in all_stock() if stock.paper == paper and stock.cut]
    return sorted(ours, key=lambda stock: (-stock.places, stock.key))


def label_sheets(paper: str) -> list[Stock]:
    """Return the sheets of labels, cut already, of that paper."""
    return [stock for stock in all_stock() if stock.paper == paper and not stock.cut]


def photos_beneath_mm(stock: Stock, layout: str, diameter_mm: float, waxes: int, photos: int) -> float:
    """Return how large photos in a row are beneath the tags of a card; 0 if they have no room worth having."""
    if not photos or layout not in USED_BELOW_MM:
        return 0.0
    across, down = diameter_mm + 2 * SIDE_MM, diameter_mm + ABOVE_MM + BELOW_MM
    views = 2 if layout == "stacked" else 1
    tags = TAGS_ABOVE_MM + TAGS_LINE_MM * -(-waxes // TAGS_A_LINE)
    high = stock.height_mm - 2 * PAD_MM - views * down - tags - USED_BELOW_MM[layout] - CAPTION_MM
    wide = {"stacked": across, "below": LEFT_OF_TICKS_MM, "beside": 2 * across + BETWEEN_VIEWS_MM}[layout]
    size = math.floor(min(PHOTO_MOST_MM, high, wide / photos - PHOTO_GAP_MM) * 10) / 10
    return size if size >= PHOTO_LEAST_MM else 0.0


def layout_on(stock: Stock, diameter_mm: float, waxes: int) -> str | None:
    """Return how a card holds both views of a flask at true scale, its words around them; None if it cannot."""
    across, down = diameter_mm + 2 * SIDE_MM, diameter_mm + ABOVE_MM + BELOW_MM
    wide, high = stock.width_mm - 2 * PAD_MM, stock.height_mm - 2 * PAD_MM
    tags = TAGS_ABOVE_MM + TAGS_LINE_MM * -(-waxes // TAGS_A_LINE)
    pair = 2 * across + BETWEEN_VIEWS_MM
    if pair + BESIDE_MM <= wide and down + tags <= high:
        return "beside"
    if pair <= wide and down + tags + BELOW_CARD_MM <= high:
        return "below"
    if across + STACKED_MM <= wide and 2 * down + tags <= high:
        return "stacked"
    return None


def rules_of(stock: Stock, nudge_x_mm: float, nudge_y_mm: float) -> str:
    """Return the style rules that lay the cards of a sheet; a nudge moves all of them right and down."""
    rules = [f".{stock.key} .card {{ width: {number(stock.width_mm)}mm; height: {number(stock.height_mm)}mm }}"]
    for place in range(stock.places):
        left, top = stock.corner(place)
        x, y = left - PAGE_LEFT_MM + nudge_x_mm, top - PAGE_TOP_MM + nudge_y_mm
        rules.append(f".{stock.key} .place-{place} {{ left: {number(x)}mm; top: {number(y)}mm }}")
    return "\n".join(rules)
