"""A flask at a third of its size."""

from xml.etree import ElementTree

from casting.drawings.flask_thumbnail import draw_small_flask
from casting.presenters.formats import SchoolUnits

SVG = "{http://www.w3.org/2000/svg}"


def test_a_small_flask_is_drawn_at_a_third_with_every_tag(plan):
    root = ElementTree.fromstring(draw_small_flask(plan.flasks[0], SchoolUnits()))
    # A flask of 63.5 with 2 on each side is 67.5 wide, 22.5 at a third; 7 above and 2 below make 72.5, 24.167.
    assert (root.get("width"), root.get("height")) == ("22.5mm", "24.167mm")
    assert {"A1", "A2", "A3"} <= {words.text for words in root.iter(f"{SVG}text")}


def test_its_sprues_start_at_the_cone(plan):
    root = ElementTree.fromstring(draw_small_flask(plan.flasks[0], SchoolUnits()))
    first = next(root.iter(f"{SVG}line"))
    # The axis stands at 2 + 31.75 and 7 + 31.75; the cone of 24 ends 12 nearer the notch, the foot stands at 14.
    assert (first.get("x1"), first.get("y1")) == ("33.75", "26.75")
    assert (first.get("x2"), first.get("y2")) == ("33.75", "24.75")
