"""Drawings of a plan: true to scale, readable by all, and closed to what people type."""

import math
import re
from xml.etree import ElementTree

import pytest

from casting.drawings.flask import draw_flask
from casting.drawings.kiln_shelf import draw_kiln_shelf
from casting.drawings.timetable import LEFT_MM, RIGHT_MM, WIDTH_MM, axis_of, draw_firing, draw_timetable
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import Named
from tests.days.written_plans import as_text, plan_of_24, plan_of_one

SVG = "{http://www.w3.org/2000/svg}"


def degrees(celsius):
    return f"{celsius:g} °C"


@pytest.fixture
def plan():
    return read_plan(*as_text(*plan_of_24()))


def every_drawing(plan):
    yield draw_flask(plan.flasks[0])
    yield draw_kiln_shelf(plan.kilns[0], degrees)
    yield draw_firing(plan.kilns[0], plan, degrees)
    yield draw_timetable(plan, degrees)


def test_every_drawing_is_xml_with_a_title_and_its_own_font(plan):
    for drawing in every_drawing(plan):
        root = ElementTree.fromstring(drawing)
        assert root[0].tag == f"{SVG}title" and root[0].text
        assert root.get("font-family").startswith("Bench Sans")


def test_no_drawing_needs_what_the_policy_forbids(plan):
    for drawing in every_drawing(plan):
        assert "style=" not in drawing and "<style" not in drawing and "href" not in drawing


def test_a_flask_is_drawn_in_its_own_millimetres(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0]))
    width = float(root.get("viewBox").split()[2])
    assert root.get("width") == f"{width:g}mm"
    radii = [float(circle.get("r")) for circle in root.iter(f"{SVG}circle")]
    # The flask of 63.5, the room inside walls of 6.5, the cone of 24.
    assert radii[:3] == [31.75, 31.75 - 6.5, 12.0]


def test_the_notch_is_at_12_o_clock_and_the_first_wax_beside_it(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0]))
    outline = next(root.iter(f"{SVG}circle"))
    x, y = float(outline.get("cx")), float(outline.get("cy"))
    first = next(root.iter(f"{SVG}rect"))
    middle_x = float(first.get("x")) + float(first.get("width")) / 2
    middle_y = float(first.get("y")) + float(first.get("height")) / 2
    # Its foot stands 14 mm from the axis toward the notch, which on paper is up.
    assert (middle_x - x, middle_y - y) == pytest.approx((0.0, -14.0))


def test_a_turn_anticlockwise_in_the_plan_is_one_on_paper(plan):
    second = list(ElementTree.fromstring(draw_flask(plan.flasks[0])).iter(f"{SVG}rect"))[1]
    # SVG turns clockwise, so 120 degrees anticlockwise are -120.
    assert second.get("transform").startswith("rotate(-120 ")


def test_a_sprue_runs_from_the_foot_toward_the_axis(plan):
    root = ElementTree.fromstring(draw_flask(plan.flasks[0]))
    outline = next(root.iter(f"{SVG}circle"))
    x, y = float(outline.get("cx")), float(outline.get("cy"))
    sprues = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "1.4"]
    assert len(sprues) == 3
    for sprue in sprues:
        inner = math.atan2(float(sprue.get("y1")) - y, float(sprue.get("x1")) - x)
        outer = math.atan2(float(sprue.get("y2")) - y, float(sprue.get("x2")) - x)
        assert inner == pytest.approx(outer, abs=1e-3)


def test_what_people_type_is_text_and_nothing_else():
    names = {"w1": Named("<b", "<script>alert(1)</script>", '"/><image href="file:///x"/>')}
    sheet = read_plan(*as_text(*plan_of_one()), names)
    root = ElementTree.fromstring(draw_flask(sheet.flasks[0]))
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "title", "line", "text", "circle", "path", "g", "rect"}
    assert "<b" in [text.text for text in root.iter(f"{SVG}text")]


def test_kiln_y_runs_from_the_door_upward(plan):
    root = ElementTree.fromstring(draw_kiln_shelf(plan.kilns[0], degrees))
    circles = list(root.iter(f"{SVG}circle"))
    # A stands 60 mm from the door, E 140 mm: E is higher on the paper.
    assert float(circles[0].get("cy")) - float(circles[4].get("cy")) == pytest.approx(80)
    assert float(circles[0].get("r")) == 33.5


def test_the_timetable_has_a_row_and_a_pour_for_every_flask(plan):
    root = ElementTree.fromstring(draw_timetable(plan, degrees))
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert [word for word in words if re.fullmatch("[A-H]", word)] == list("ABCDEFGH")
    assert {"10:00", "10:56", "Sat", "Sun"} <= set(words)


def test_the_temperatures_stand_on_the_line(plan):
    root = ElementTree.fromstring(draw_firing(plan.kilns[0], plan, degrees))
    words = [text.text for text in root.iter(f"{SVG}text")]
    assert [word for word in words if "°" in word] == ["149 °C", "371 °C", "732 °C", "538 °C"]


def test_the_clock_runs_true_over_the_change(plan):
    axis = axis_of(plan)
    # From 16:00 at UTC-7 to 12:00 at UTC-6 are 19 hours, so an hour is a 19th of the axis;
    # 10:00 at UTC-6 comes 17 hours after the start.
    assert axis.length.total_seconds() / 3600 == 19
    share = (axis.x(plan.pour_at) - LEFT_MM) / (WIDTH_MM - LEFT_MM - RIGHT_MM)
    assert share == pytest.approx(17 / 19)


def test_ticks_are_local_hours_with_none_in_the_hour_that_does_not_exist(plan):
    hours = [tick.hour for tick in axis_of(plan).ticks()]
    assert hours == [16, 18, 20, 22, 0, 4, 6, 8, 10, 12]


def rectangles(drawing):
    """Middle of each wax from the axis, as on paper, and its turn."""
    root = ElementTree.fromstring(drawing)
    outline = next(root.iter(f"{SVG}circle"))
    for rect in root.iter(f"{SVG}rect"):
        middle_x = float(rect.get("x")) + float(rect.get("width")) / 2 - float(outline.get("cx"))
        middle_y = float(rect.get("y")) + float(rect.get("height")) / 2 - float(outline.get("cy"))
        yield round(middle_x, 3), round(middle_y, 3), float(re.match(r"rotate\((\S+)", rect.get("transform"))[1])


def test_from_the_button_side_left_is_right_and_the_notch_stays(plan):
    wax_side, button_side = draw_flask(plan.flasks[0]), draw_flask(plan.flasks[0], mirrored=True)
    mirrored = [(-x or 0.0, y, -turn or 0.0) for x, y, turn in rectangles(wax_side)]
    assert list(rectangles(button_side)) == mirrored
    # The second wax, at (-12.124, -7) in the plan, is right of the axis and below it.
    assert mirrored[1] == (12.124, 7.0, 120.0)
    notches = [next(ElementTree.fromstring(one).iter(f"{SVG}path")).get("d") for one in (wax_side, button_side)]
    assert notches[0] == notches[1]


def test_no_letter_is_mirrored(plan):
    button_side = draw_flask(plan.flasks[0], mirrored=True)
    assert "scale(" not in button_side and "matrix(" not in button_side
    assert "from the button side" in button_side
