"""Columns of several boxes: a stored value in parts, and back."""

import pytest

from casting.forms.shelf.boxes import NumberBox
from casting.forms.shelf.columns import Bands, Cell, Composition, Kinds, Pair, Rows, Segments

BOX = NumberBox()
TABLE = [Cell("to", "up to", BOX), Cell("minutes", "wait", BOX)]
FIRING = [Cell("ramp_c_per_h", "ramp", BOX), Cell("to_c", "to", BOX), Cell("hold_min", "hold", BOX)]
PARTS = [Cell("sign", "element"), Cell("share", "share", BOX)]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        (Bands("flask_c", "flask", BOX), {"very_thin": [1, 2], "thin": [3, 4], "medium": [5, 6], "heavy": [7, 8]}),
        (Pair("water_c", "water", BOX), [22, 23]),
        (Pair("water_c", "water", BOX), None),
        (Rows("quench", "quench", TABLE), [[64, 10], [90, 15]]),
        (Composition("parts", "parts", PARTS), {"Ag": 92.5, "Cu": None}),
        (Composition("parts", "parts", PARTS), None),
        (Segments("segments", "ramps", FIRING), [{"ramp_c_per_h": 167, "to_c": 149, "hold_min": 0}]),
        (Kinds("kinds", "for"), ["wax", "resin"]),
    ],
)
def test_a_value_in_parts_is_the_same_value_again(column, value):
    assert column.join(column.split(value)) == value
    assert set(column.texts(value)) <= {part for line in column.lines(column.texts(value)) for part in line.parts}


def test_an_empty_row_is_none_and_there_are_always_two_more():
    column = Rows("quench", "quench", TABLE)
    assert column.join({"0-to": None, "0-minutes": None, "1-to": 64, "1-minutes": 10}) == [[64, 10]]
    assert len(column.lines({"0-to": "", "1-to": "64"})) == 4
    assert len(column.lines({"x-to": "5", "999-to": "5"})) == 30


def test_a_reader_s_place_is_found_on_the_page():
    rows = Rows("quench", "quench", TABLE)
    with_a_gap = {"0-to": 64, "0-minutes": 10, "3-to": 50, "3-minutes": 15}
    assert rows.part_at("[1][1]", with_a_gap) == "3-minutes"
    assert rows.part_at("", with_a_gap) == "0-to"
    assert Bands("flask_c", "flask", BOX).part_at("thin[1]", {}) == "thin-high"
    assert Pair("water_c", "water", BOX).part_at("[1]", {}) == "high"
    assert Segments("segments", "ramps", FIRING).part_at("[0].to_c", {"0-to_c": 9}) == "0-to_c"
    parts = {"0-sign": "Ag", "0-share": 90, "1-sign": "Qq", "1-share": 10}
    assert Composition("parts", "parts", PARTS).part_at("Qq", parts) == "1-sign"  # no element: the sign is wrong
    assert Composition("parts", "parts", PARTS).part_at("Ag", parts) == "0-share"
    assert Composition("parts", "parts", PARTS).part_at("", parts) == "0-sign"
    assert Kinds("kinds", "for").part_at("[1]", {}) == "wax"


def test_every_box_has_a_name_of_its_own():
    column = Rows("quench", "wait", TABLE)
    (first, *_more) = column.lines({})
    assert [column.label_of(part, first) for part in first.parts] == ["Wait, 1, up to", "Wait, 1, wait"]
