"""What the house rules measure: a drawing for each heading that measures something."""

from xml.etree import ElementTree

import pytest

from casting.drawings.rule_groups import draw_rule_group

MEASURED = {
    "flask": {"wax to wax", "wall", "reach", "cover", "from above", "from the side"},
    "button": {"button", "waxes", "crucible", "brim", "fill to"},
    "minutes": {"mix", "bowl to bowl", "pour to pour", "a pour takes"},
    "kiln": {"flask", "gap", "free over it", "under it"},
}


@pytest.mark.parametrize("slug", MEASURED)
def test_a_drawing_says_what_it_measures_and_is_small(slug):
    drawing = draw_rule_group(slug)
    root = ElementTree.fromstring(drawing)
    assert root[0].tag.endswith("}title") and root[0].text
    assert {one.text for one in root.iter() if one.tag.endswith("}text")} == MEASURED[slug]
    assert len(drawing.encode()) < 2048


@pytest.mark.parametrize("slug", MEASURED)
def test_a_drawing_takes_the_inks_of_the_page(slug):
    # the drawing's own colour, for paper, is overruled by the page's style; nothing within it has one of its own
    inside = draw_rule_group(slug).partition(">")[2]
    assert '="#' not in inside and "currentColor" in inside


def test_people_and_costs_measure_nothing():
    assert draw_rule_group("people") == "" == draw_rule_group("plan")
