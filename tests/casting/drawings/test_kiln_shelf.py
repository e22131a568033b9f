"""A kiln's shelf drawn from above."""

from xml.etree import ElementTree

import pytest

from casting.drawings.kiln_shelf import draw_kiln_shelf

SVG = "{http://www.w3.org/2000/svg}"


def degrees(celsius):
    return f"{celsius:g} °C"


def test_kiln_y_runs_from_the_door_upward(plan):
    root = ElementTree.fromstring(draw_kiln_shelf(plan.kilns[0], degrees))
    circles = list(root.iter(f"{SVG}circle"))
    # A stands 60 mm from the door, E 140 mm: E is higher on the paper.
    assert float(circles[0].get("cy")) - float(circles[4].get("cy")) == pytest.approx(80)
    assert float(circles[0].get("r")) == 33.5
