"""A firing's curve on a screen: its scale and figures in the school's unit, small, and drawn whatever is typed."""

from xml.etree import ElementTree

import pytest

from casting.calc.values.day_input import Segment
from casting.drawings.firing_curve import draw_firing_curve
from casting.presenters.formats import SchoolUnits
from casting.units import Temperature

SEGMENTS = [Segment(167, 149, 120), Segment(167, 371, 60), Segment(167, 732, 120)]


def words(drawing):
    return [one.text for one in ElementTree.fromstring(drawing).iter() if one.tag.endswith("}text")]


def test_the_curve_has_its_holds_in_degrees_and_hours():
    said = words(draw_firing_curve(SEGMENTS, SchoolUnits()))
    assert said[:4] == ["200", "400", "600", "°C"]
    # 9.26 hours: a tick every two
    assert [one for one in said if one in ("0", "2 h", "4 h", "6 h", "8 h")][:5] == ["0", "2 h", "4 h", "6 h", "8 h"]
    assert {"149", "371", "732"} <= set(said)


def test_in_fahrenheit_scale_and_figures_are_in_fahrenheit():
    said = words(draw_firing_curve(SEGMENTS, SchoolUnits(temperature=Temperature.FAHRENHEIT)))
    # 149 C = 300.2 F, 371 C = 699.8 F, 732 C = 1349.6 F
    assert said[:4] == ["400", "800", "1200", "°F"] and {"300", "700", "1350"} <= set(said)


@pytest.mark.parametrize(
    "segments",
    [[Segment(1, 788, 10_000)] * 30, [Segment(5000, 20, 0)], [Segment(5000, 5000, 0)], [Segment(100, 788, 60)]],
)
def test_whatever_is_typed_is_drawn_within_the_frame(segments):
    root = ElementTree.fromstring(draw_firing_curve(segments, SchoolUnits()))
    assert root[0].text
    for one in root.iter():
        if one.tag.endswith("}polyline"):
            points = [tuple(map(float, point.split(","))) for point in one.get("points").split()]
            assert all(13.9 <= x <= 128.1 and 8.9 <= y <= 57.1 for x, y in points)
    assert len([one for one in words(draw_firing_curve(segments, SchoolUnits())) if one.endswith(" h")]) < 60
