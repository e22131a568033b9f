"""Drawings of a plan: true to scale, readable by all, and closed to what people type."""

from xml.etree import ElementTree

from casting.drawings.flask import draw_flask
from casting.drawings.kiln_shelf import draw_kiln_shelf
from casting.drawings.timetable import draw_timetable
from casting.presenters.formats import SchoolUnits

SVG = "{http://www.w3.org/2000/svg}"


def degrees(celsius):
    return f"{celsius:g} °C"


def every_drawing(plan):
    yield draw_flask(plan.flasks[0], SchoolUnits())
    yield draw_kiln_shelf(plan.kilns[0], degrees)
    yield draw_timetable(plan, degrees)


def test_every_drawing_is_xml_with_a_title_and_its_own_font(plan):
    for drawing in every_drawing(plan):
        root = ElementTree.fromstring(drawing)
        assert root[0].tag == f"{SVG}title" and root[0].text
        assert root.get("font-family").startswith("Bench Sans")


def test_no_drawing_needs_what_the_policy_forbids(plan):
    for drawing in every_drawing(plan):
        assert "style=" not in drawing and "<style" not in drawing and "href" not in drawing
