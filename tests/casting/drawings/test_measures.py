"""The sketches of the hand-in page: what is measured, and the flag with the tag."""

from xml.etree import ElementTree

import pytest
from django.template import Context, Template

from casting.drawings.measures import SHAPES, draw_measures, draw_tag

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("of", SHAPES)
def test_each_dimension_has_its_line_and_its_word(of):
    root = ElementTree.fromstring(draw_measures(of))
    groups = {one.get("class").split()[1]: one for one in root.iter(f"{SVG}g")}
    assert groups.keys() == {"width", "depth", "height"}
    for name, group in groups.items():
        assert group.find(f"{SVG}text").text == name and group.find(f"{SVG}line") is not None
    shape, width = SHAPES[of], groups["width"].find(f"{SVG}line")
    assert (float(width.get("x1")), float(width.get("x2"))) == (shape.left, shape.right)


@pytest.mark.parametrize("of", SHAPES)
def test_each_drawing_is_small_enough_for_a_slow_phone(of):
    assert len(draw_measures(of).encode()) < 2048


def test_a_tag_is_escaped_and_large():
    root = ElementTree.fromstring(draw_tag("<K8"))
    (words,) = root.iter(f"{SVG}text")
    # 25.4 mm of 96 to the inch are 96 px.
    assert (words.text, words.get("font-size")) == ("<K8", "25.4")


def test_a_page_draws_both():
    page = Template("{% load drawings %}{% wax_measures_drawing %}{% tag_drawing 'K8' %}").render(Context())
    assert page.count("<svg") == 2
