"""The signs: a shape a kind, a title for each, a drawing for each meaning."""

from xml.etree import ElementTree

import pytest

from casting.drawings.signs import FIGURES, FRAMES, MEANING, PAPER, draw_sign, drawn

PATH = "{http://www.w3.org/2000/svg}path"


@pytest.mark.parametrize("code", MEANING)
def test_every_meaning_has_its_frame_its_figure_and_its_words(code):
    root = ElementTree.fromstring(draw_sign(code, 12))
    frame, figure = root.iter(PATH)
    assert (frame.get("d"), figure.get("d")) == (FRAMES[code[0]], FIGURES[code])
    assert root[0].text == f"Sign: {MEANING[code]}"
    assert (root.get("width"), root.get("height")) == ("12mm", "12mm")
    # What must be done is white on a filled disc; everything else is ink on paper.
    assert (figure.get("stroke") == PAPER) == (code[0] == "M")


def test_the_first_code_with_a_drawing_is_taken():
    assert drawn(("W999", "W017", "W016")) == "W017"
    assert drawn(("W999",)) is None
