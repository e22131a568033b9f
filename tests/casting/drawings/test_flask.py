"""A flask drawn true to scale, from the wax side and from the button side."""

import math
import re
from xml.etree import ElementTree

import pytest

from casting.drawings.flask import draw_flask
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import WaxName
from casting.units import Length
from tests.days.written_plans import as_text, plan_of_one

SVG = "{http://www.w3.org/2000/svg}"


def test_a_flask_is_drawn_in_its_own_millimetres(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0], SchoolUnits()))
    width = float(root.get("viewBox").split()[2])
    assert root.get("width") == f"{width:g}mm"
    radii = [float(circle.get("r")) for circle in root.iter(f"{SVG}circle")]
    # The flask of 63.5, the room inside walls of 6.5, the cone of 24.
    assert radii[:3] == [31.75, 31.75 - 6.5, 12.0]


def test_the_notch_is_at_12_o_clock_and_the_first_wax_beside_it(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0], SchoolUnits()))
    outline = next(root.iter(f"{SVG}circle"))
    x, y = float(outline.get("cx")), float(outline.get("cy"))
    first = next(root.iter(f"{SVG}rect"))
    middle_x = float(first.get("x")) + float(first.get("width")) / 2
    middle_y = float(first.get("y")) + float(first.get("height")) / 2
    # Its foot stands 14 mm from the axis toward the notch, which on paper is up.
    assert (middle_x - x, middle_y - y) == pytest.approx((0.0, -14.0))


def test_a_turn_anticlockwise_in_the_plan_is_one_on_paper(plan):
    second = list(ElementTree.fromstring(draw_flask(plan.flasks[0], SchoolUnits())).iter(f"{SVG}rect"))[1]
    # SVG turns clockwise, so 120 degrees anticlockwise are -120.
    assert second.get("transform").startswith("rotate(-120 ")


def test_a_sprue_runs_from_the_foot_toward_the_axis(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0], SchoolUnits()))
    outline = next(root.iter(f"{SVG}circle"))
    x, y = float(outline.get("cx")), float(outline.get("cy"))
    sprues = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "1.4"]
    assert len(sprues) == 3
    for sprue in sprues:
        inner = math.atan2(float(sprue.get("y1")) - y, float(sprue.get("x1")) - x)
        outer = math.atan2(float(sprue.get("y2")) - y, float(sprue.get("x2")) - x)
        assert inner == pytest.approx(outer, abs=1e-3)


def test_what_people_type_is_text_and_nothing_else():
    names = {"w1": WaxName("<b", "<script>alert(1)</script>", '"/><image href="file:///x"/>')}
    sheet = read_plan(*as_text(*plan_of_one()), names)
    root = ElementTree.fromstring(draw_flask(sheet.flasks[0], SchoolUnits()))
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "title", "line", "text", "circle", "path", "g", "rect"}
    assert "<b" in [text.text for text in root.iter(f"{SVG}text")]


def rectangles(drawing):
    """Middle of each wax from the axis, as on paper, and its turn."""
    root = ElementTree.fromstring(drawing)
    outline = next(root.iter(f"{SVG}circle"))
    for rect in root.iter(f"{SVG}rect"):
        middle_x = float(rect.get("x")) + float(rect.get("width")) / 2 - float(outline.get("cx"))
        middle_y = float(rect.get("y")) + float(rect.get("height")) / 2 - float(outline.get("cy"))
        yield round(middle_x, 3), round(middle_y, 3), float(re.match(r"rotate\((\S+)", rect.get("transform"))[1])


def test_from_the_button_side_left_is_right_and_the_notch_stays(plan):
    wax_side, button_side = (draw_flask(plan.flasks[0], SchoolUnits(), mirrored=side) for side in (False, True))
    mirrored = [(-x or 0.0, y, -turn or 0.0) for x, y, turn in rectangles(wax_side)]
    assert list(rectangles(button_side)) == mirrored
    # The second wax, at (-12.124, -7) in the plan, is right of the axis and below it.
    assert mirrored[1] == (12.124, 7.0, 120.0)
    notches = [next(ElementTree.fromstring(one).iter(f"{SVG}path")).get("d") for one in (wax_side, button_side)]
    assert notches[0] == notches[1]


def test_the_line_above_gives_the_inside_diameter_in_the_schools_unit(plan):
    def drawn(units):
        return "".join(ElementTree.fromstring(draw_flask(plan.flasks[0], units)).itertext())

    # 63.5 mm are 2 1/2 inches.
    assert "63.5\u202fmm" in drawn(SchoolUnits())
    assert "2½ in" in (inches := drawn(SchoolUnits(length=Length.INCH))) and "mm" not in inches


def test_no_letter_is_mirrored(plan):
    button_side = draw_flask(plan.flasks[0], SchoolUnits(), mirrored=True)
    assert "scale(" not in button_side and "matrix(" not in button_side
    assert "from the button side" in button_side
