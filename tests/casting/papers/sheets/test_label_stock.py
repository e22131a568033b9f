"""Sheets of cards: where each card lies, and which card takes a flask."""

import pytest

from casting.papers.sheets.label_stock import (
    all_stock,
    label_sheets,
    layout_on,
    photos_beneath_mm,
    plain_stock,
    rules_of,
    stock_of,
)

EIGHT = "a4-2x4-apart"


def test_places_count_along_the_rows():
    sheet = stock_of(EIGHT)
    assert sheet.places == 8
    # 11 + 92 + 4 = 107; two rows down 25 + 2 x (60 + 2) = 149.
    assert [sheet.corner(place) for place in (0, 1, 4)] == [(11, 25), (107, 25), (11, 149)]


def test_cards_may_be_nudged_as_far_as_the_paper_is_free():
    # Left 11 - 5 = 6, at most 5. Right 210 - 5 - 107 - 92 = 6, at most 5. Up to 21.5: 3.5 from 25.
    # The last row starts at 211 and ends at 271; down to 297 - 10.5 = 286.5 are 15.5, at most 5.
    assert stock_of(EIGHT).nudge_room() == ((-5, 5), (-3.5, 5))


def test_plain_paper_is_cut_and_labels_are_not():
    assert [sheet.places for sheet in plain_stock("A4")] == [3, 2, 1]
    assert all(sheet.cut and sheet.paper == "A4" for sheet in plain_stock("A4"))
    assert {sheet.key for sheet in label_sheets("Letter")} == {"letter-1x3-apart", "letter-2x4-apart"}
    assert len(all_stock()) == len({sheet.key for sheet in all_stock()})


def test_an_unknown_sheet_is_an_error():
    with pytest.raises(KeyError, match="a3"):
        stock_of("a3")


def test_a_flask_too_wide_for_two_views_and_words_finds_none():
    # Two views of 200 mm are wider than 190, and two of them higher than any sheet.
    assert layout_on(stock_of("a4-1x3"), 50.8, 3) == "beside"
    assert layout_on(stock_of("a4-1x1"), 200, 3) is None


def test_a_nudge_moves_every_card():
    # From where the content begins, 10 and 17 mm: 11 - 10 + 0.5 and 25 - 17 - 1.
    rules = rules_of(stock_of(EIGHT), 0.5, -1.0)
    assert ".a4-2x4-apart .place-0 { left: 1.5mm; top: 7mm }" in rules
    assert ".a4-2x4-apart .place-1 { left: 97.5mm; top: 7mm }" in rules


@pytest.mark.parametrize(
    ("layout", "diameter_mm", "photos", "size_mm"),
    [
        # A card of three on A4 is 86 mm high, 83 within its edges. Views take their diameter and 9.1 mm, a line of tags
        # 4.3, the tags under the photos 4: 83 - 59.9 - 4.3 - 4 = 14.8; 83 - 72.6 - 4.3 - 4 = 2.1 is too little.
        ("beside", 50.8, 0, 0),
        ("beside", 50.8, 3, 14.8),
        ("beside", 63.5, 3, 0),
        # Two views are 109.6 mm wide: thirty photos with 1.5 mm between them would be 2.1 mm each.
        ("beside", 50.8, 30, 0),
        ("label", 50.8, 3, 0),
        ("", 50.8, 3, 0),
    ],
)
def test_photos_are_as_large_as_what_is_left_beneath_the_tags(layout, diameter_mm, photos, size_mm):
    stock = plain_stock("A4")[0]
    assert photos_beneath_mm(stock, layout, diameter_mm, 3, photos) == size_mm
