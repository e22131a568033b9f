"""The elements of the drawings: numbers without idle zeros, text escaped, sizes in mm."""

from xml.etree import ElementTree

import pytest

from casting.drawings.svg import circle, drawing, element, line, number, text


@pytest.mark.parametrize(
    ("value", "written"), [(3.0, "3"), (2.5, "2.5"), (1.23456, "1.235"), (100.0, "100"), (-0.0001, "0"), (0.0, "0")]
)
def test_a_length_has_no_idle_zero_and_no_minus_nothing(value, written):
    assert number(value) == written


def test_what_people_type_is_escaped_in_text_and_attributes():
    assert text(1, 2, "<b>&", 3).count("&lt;b&gt;&amp;") == 1
    assert element("g", data_name='"><script>') == '<g data-name="&quot;&gt;&lt;script&gt;"/>'


def test_a_circle_takes_its_diameter():
    assert ElementTree.fromstring(circle(1, 2, 63.5)).get("r") == "31.75"


def test_a_line_is_a_hairline_unless_told():
    assert 'stroke-width="0.2"' in line(0, 0, 1, 1)
    assert 'stroke-width="1.4"' in line(0, 0, 1, 1, stroke_width=1.4)


def test_a_drawing_has_its_title_and_its_size_at_its_scale():
    made = ElementTree.fromstring(drawing([], title="A <ring>", width_mm=90, height_mm=60, class_="x", scale=1 / 3))
    assert (made.get("viewBox"), made.get("width"), made.get("height")) == ("0 0 90 60", "30mm", "20mm")
    assert (made[0].text, made.get("class")) == ("A <ring>", "drawing x")
