"""The drawing of a tree: one view from the side and one of each tier, all to scale and closed to what people type."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from casting.drawings.tree import draw_tree
from casting.presenters.formats import SchoolUnits

SVG = "{http://www.w3.org/2000/svg}"


def views(flask, **how):
    drawn = draw_tree(flask, SchoolUnits(), **how)
    return [ElementTree.fromstring(one) for one in re.findall(r"<svg.*?</svg>", drawn, re.S)]


def rects(root):
    return [{key: float(one.get(key)) for key in ("x", "y", "width", "height")} for one in root.iter(f"{SVG}rect")]


def test_there_is_a_view_from_the_side_and_one_of_each_tier(flask):
    side, *tiers = views(flask)
    assert [tier.z_mm for tier in flask.tiers] == [16, 52]
    assert len(tiers) == 2
    assert all(root[0].tag == f"{SVG}title" and root[0].text for root in (side, *tiers))
    assert "".join(tiers[1].itertext()).count("tier 2, 52\u202fmm up") == 1


def test_the_side_is_drawn_in_its_own_millimetres(flask):
    outline, usable, trunk, *waxes = rects(views(flask)[0])
    floor, middle = outline["y"] + 152.4, outline["x"] + 50.8
    assert (outline["width"], outline["height"]) == (101.6, 152.4)
    # Usable: 101.6 - 2 x 6.5 wide, from the cone's top at 10 mm to 152.4 - 3 - 25.4 = 124 mm.
    assert (usable["width"], usable["height"]) == pytest.approx((88.6, 114.0))
    # The trunk from the cone's top at 10 mm to the second tier at 52 mm.
    assert (trunk["x"], trunk["width"]) == pytest.approx((middle - 4, 8))
    assert (floor - trunk["y"], trunk["height"]) == pytest.approx((52, 42))
    assert {round(floor - one["y"] - one["height"], 3) for one in waxes} == {16, 52}
    assert {one["height"] for one in waxes} == {30}


def test_a_tier_shows_wall_trunk_and_its_own_waxes(flask):
    for root, tier in zip(views(flask)[1:], flask.tiers, strict=True):
        assert [float(circle.get("r")) for circle in root.iter(f"{SVG}circle")] == [50.8, 44.3, 4]
        assert len(rects(root)) == len(tier.waxes)
        sprues = [one for one in root.iter(f"{SVG}line") if one.get("stroke-width") == "1.4"]
        # From the trunk's surface, 4 mm off the axis, to the near face, 10 to 14 mm off.
        x, y = (float(next(root.iter(f"{SVG}circle")).get(key)) for key in ("cx", "cy"))
        for sprue in sprues:
            ends = [complex(float(sprue.get(f"x{end}")) - x, float(sprue.get(f"y{end}")) - y) for end in (1, 2)]
            assert abs(ends[0]) == pytest.approx(4, abs=0.002) and 10 <= abs(ends[1]) <= 14.002


def test_small_it_is_a_third_and_from_the_button_side_mirrored(flask):
    for full, small in zip(views(flask), views(flask, small=True), strict=True):
        assert full.get("viewBox") == small.get("viewBox")
        assert float(small.get("width")[:-2]) == pytest.approx(float(full.get("width")[:-2]) / 3, abs=0.001)
    seen, mirrored = (rects(views(flask, mirrored=yes)[2]) for yes in (False, True))
    middle = 2 + 50.8
    for one, other in zip(seen, mirrored, strict=True):
        assert one["x"] + one["width"] / 2 - middle == pytest.approx(
            middle - other["x"] - other["width"] / 2, abs=0.002
        )


def test_what_people_type_is_escaped(flask):
    text = draw_tree(flask, SchoolUnits())
    assert "<b>" not in text and "Imre &lt;b&gt;" in text and "style=" not in text
