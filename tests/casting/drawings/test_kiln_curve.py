"""One kiln's firing on its sheet: figures on the curve, holds in grey, who is there above it."""

from datetime import timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from casting.drawings.kiln_curve import FAR_MM, LEFT_MM, LETTER, RIGHT_MM, WIDTH_MM, axis_of, draw_kiln_curve
from casting.presenters.plan_reader import read_plan
from tests.casting.drawings.test_timetable import SVG, columns, with_hours
from tests.days.written_plans import as_text, plan_of_24

WIDE = WIDTH_MM - LEFT_MM - RIGHT_MM


def degrees(celsius):
    return f"{celsius:g}°"


def drawn(sheet, height_mm=38):
    return ElementTree.fromstring(draw_kiln_curve(sheet, sheet.kilns[0], degrees, height_mm))


def words_of(root):
    return [text.text for text in root.iter(f"{SVG}text")]


def test_the_clock_runs_from_the_load_to_the_last_flask(plan):
    axis = axis_of(plan, plan.kilns[0])
    # On at Sat 20:25 at UTC-7, the last flask out at Sun 10:56 at UTC-6: from 20:00 to 11:00 are 14 hours.
    assert (f"{axis.start:%H:%M}", f"{axis.end:%H:%M}", axis.length) == ("20:00", "11:00", timedelta(hours=14))
    assert axis.x(plan.pour_at) == pytest.approx(LEFT_MM + WIDE * 13 / 14)
    file, day = plan_of_24()
    load = file["steps"][0] | {"at": "2027-03-13T18:30:00-07:00", "do": "load", "kiln": "k1"}
    file["steps"].append(load)
    loaded = read_plan(*as_text(file, day))
    assert f"{axis_of(loaded, loaded.kilns[0]).start:%H:%M}" == "18:00"
    assert {"load", "on"} <= set(words_of(drawn(loaded))) and "load" not in words_of(drawn(plan))


@pytest.mark.parametrize("height_mm", [20.4, 38])
def test_the_figures_stand_over_their_holds_and_not_over_each_other(plan, height_mm):
    root = drawn(plan, height_mm)
    texts = [text for text in root.iter(f"{SVG}text") if "°" in text.text]
    assert [text.text for text in texts] == ["149°", "371°", "732°", "538°"]
    assert {float(text.get("font-size")) for text in texts} == {FAR_MM}
    assert FAR_MM / 25.4 * 72 > 19  # about 20 pt, a capital of 5 mm
    edges = [(float(one.get("x")), len(one.text) * FAR_MM * LETTER / 2) for one in texts]
    assert all(x + half < other - next_half for (x, half), (other, next_half) in pairwise(edges))
    tops = [min(float(at.split(",")[1]) for at in hold.get("points").split()) for hold in root.iter(f"{SVG}polygon")]
    assert len(tops) == 4
    assert all(0 < float(text.get("y")) < top for text, top in zip(texts, tops, strict=True))
    assert min(float(text.get("y")) for text in texts) - FAR_MM * 0.7 > 4.6  # under the clock's words and the bar


def test_the_bar_is_black_while_somebody_is_there(plan):
    root = drawn(with_hours(plan_of_24()))
    solid = [rect for rect in root.iter(f"{SVG}rect") if rect.get("class") == "solid"]
    # Of 14 hours from 20:00 the last two, from 09:00.
    (left, wide) = (float(solid[0].get(key)) for key in ("x", "width"))
    assert len(solid) == 1
    assert (left, wide) == pytest.approx((LEFT_MM + WIDE * 12 / 14, WIDE * 2 / 14), abs=0.001)
    assert {"nobody there", "somebody there"} <= set(words_of(root))


def test_hours_that_nobody_recorded_are_said_and_not_drawn(plan):
    root = drawn(plan)
    assert "hours when somebody is there: not recorded" in words_of(root)
    assert not columns(draw_kiln_curve(plan, plan.kilns[0], degrees, 38))
    assert not [rect for rect in root.iter(f"{SVG}rect") if rect.get("class") == "solid"]


def test_it_says_what_it_is_to_who_cannot_see_it_and_marks_no_moment(plan):
    root = drawn(plan)
    assert (
        root.find(f"{SVG}title").text
        == "Kiln k1 over the hours: its temperature, its pours, and when somebody is there"
    )
    assert not [word for word in words_of(root) if word.startswith("now")]
