"""A picture of a sheet of cards, to scale."""

from xml.etree import ElementTree

import pytest

from casting.papers.sheets.flask_cards import sheets_of
from casting.papers.sheets.label_stock import stock_of
from casting.papers.sheets.sheet_picture import draw_sheet
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def picture():
    """Eight flasks on labels, two of eight used already, nudged 0.5 mm right and 1 mm up."""
    flasks = read_plan(*as_text(*plan_of_24())).flasks
    first, *_others = sheets_of(flasks, "A4", stock_of("a4-2x4-apart"), 2, {})
    return ElementTree.fromstring(draw_sheet(first, 2, 0.5, -1.0))


def test_the_cards_lie_where_they_are_printed(picture):
    places = [place for place in picture.iter(f"{SVG}rect") if place.get("class") == "place"]
    assert len(places) == 8
    # Labels start 11 mm from the left and 25 mm from the top.
    assert (places[0].get("x"), places[0].get("y")) == ("11.5", "24")


def test_used_places_are_crossed_out_and_the_others_have_their_flasks(picture):
    # Two strokes a cross, and one line for the check rule.
    assert len(list(picture.iter(f"{SVG}line"))) == 2 * 2 + 1
    assert [letter.text for letter in picture.iter(f"{SVG}text")] == list("ABCDEF")
    assert "2 places used, A on place 3" in picture[0].text


def test_a_sheet_of_a4_is_76_mm_wide_on_the_screen(picture):
    # 210 mm at 0.36.
    assert picture.get("width") == "75.6mm"
