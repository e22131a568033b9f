"""Bars over the months: the highest reaches the top, and nothing is drawn of nothing."""

import re

from casting.drawings.months import FLOOR_MM, TOP_MM, draw_months
from casting.presenters.looking_back.year_page import Plot


def heights(svg, kind):
    bars = [bar for bar in re.findall(r"<rect [^>]*>", svg) if f'class="{kind}"' in bar]
    return [float(re.search(r' height="([\d.]+)"', bar)[1]) for bar in bars]


def test_a_bar_is_as_high_as_its_share_and_its_part_is_filled():
    svg = draw_months(Plot("pieces", "with a defect", ["Jan", "Feb", "Mar"], [6.0, None, 3.0], [3.0, 0.0, 0.0], "6"))
    whole = FLOOR_MM - TOP_MM
    assert heights(svg, "bar") == [whole, whole / 2] and heights(svg, "part") == [whole / 2]
    assert "pieces, month by month" in svg and ">6<" in svg and ">Feb<" in svg


def test_a_year_of_nothing_has_no_bar():
    svg = draw_months(Plot("<b>", "", ["Jan"], [None], [0.0], ""))
    assert "<rect" not in svg and "&lt;b&gt;" in svg
