"""The kiln room's schedule: read from two metres away, and the same as the plan."""

import json
import re
from datetime import datetime

import pypdfium2
import pytest

from casting.papers.kiln_room import kiln_room_html, rows_of, sheets_of
from casting.papers.render import render
from casting.reading import read_plan
from tests.casting.papers.conftest import stored
from tests.casting.papers.reading_back import MM_PER_POINT, pages_of, sizes_of, words_by_type
from tests.casting.written_plans import as_text, plan_of_24, plan_with

# Ramps and holds of 755 min, 12 h 35 min, up to 10:00 on Sunday; the clocks went an hour on at 2, so from 20:25.
FIRING = [
    ("20:25", "149", "KILN ON"), ("21:12", "149", "HOLD"), ("23:12", "371", "RAMP"), ("00:32", "371", "HOLD"),
    ("01:32", "732", "RAMP"), ("04:42", "732", "HOLD"), ("06:42", "538", "COOL"), ("08:00", "538", "SOAK"),
]  # fmt: skip


def read_plan_24():
    return read_plan(*as_text(*plan_of_24()))


def plan_of_12():
    """The first four flasks of the day of 24 waxes."""
    plan, day = plan_of_24()
    return plan_with(plan["flasks"][:4]), day | {"waxes": day["waxes"][:12]}


def test_the_night_is_a_row_for_each_change_and_each_pour():
    sheet = read_plan_24()
    rows = [(f"{row.at:%H:%M}", f"{row.to_c:g}", row.verb) for row in rows_of(sheet, sheet.kilns[0])]
    pours = [(f"10:{8 * nth:02}", "538", f"POUR {label}") for nth, label in enumerate("ABCDEFGH")]
    assert rows == FIRING + pours


def test_flasks_are_loaded_before_their_kiln_goes_on():
    plan, day = plan_of_24()
    before = {"at": plan["firings"][0]["on_at"], "do": "load", "say": "Load."}
    loads = [before | {"until": before["at"], "flasks": [label], "kiln": "k1"} for label in "ABC"]
    loads.append(loads[0] | {"flasks": ["Z"], "kiln": "k2"})
    sheet = read_plan(*as_text(plan | {"steps": loads + plan["steps"]}, day))
    first, second = rows_of(sheet, sheet.kilns[0])[:2]
    assert (first.verb, first.to_c, second.verb) == ("LOAD 3", None, "KILN ON")


def test_a_flask_is_poured_before_its_kiln_falls_further():
    plan, day = plan_of_24()
    segments = plan["firings"][0]["segments"]
    last_out = plan["flasks"][1]["out_at"]
    segments[-1]["ends_at"] = last_out
    later = plan["flasks"][3]["out_at"]
    segments.append(segments[-1] | {"to_c": 480, "starts_at": last_out, "reached_at": later, "ends_at": later})
    sheet = read_plan(*as_text(plan, day))
    verbs = [row.verb for row in rows_of(sheet, sheet.kilns[0])]
    assert verbs[verbs.index("POUR B") + 1] == "COOL"


def test_seven_rows_to_a_sheet_and_the_weekday_past_midnight():
    sheet = read_plan_24()
    sheets = sheets_of(rows_of(sheet, sheet.kilns[0]))
    assert [len(rows) for rows in sheets] == [7, 7, 2]
    # The first of each sheet, and the fourth, the first after midnight.
    assert [nth for nth, row in enumerate(sheets[0]) if row.new_day] == [0, 3]
    assert [[row.new_day for row in rows].count(True) for rows in sheets[1:]] == [1, 1]


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"), [("A4", 297, 210), ("Letter", 279.4, 215.9)]
)  # fmt: skip
def test_every_sheet_lies_on_its_side(plan_24, paper, width_mm, height_mm):
    plan_24.day.course.school.paper = paper
    pages = pypdfium2.PdfDocument(render(kiln_room_html(plan_24)))
    # Eight changes and eight pours, seven to a sheet, and the sheet with the shelf.
    assert len(pages) == 4
    for page in pages:
        assert [mm * MM_PER_POINT for mm in page.get_size()] == pytest.approx([width_mm, height_mm], abs=0.2)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_fewer_waxes_take_fewer_sheets(day, teacher, plan_1, paper):
    twelve = stored(day, teacher, *plan_of_12(), revision=4)
    for plan in (plan_1, twelve):
        plan.day.course.school.paper = paper
    # 8 changes with 1 and with 4 pours: two sheets, and the one with the shelf.
    assert [len(pages_of(render(kiln_room_html(plan)))) for plan in (plan_1, twelve)] == [3, 3]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_clock_and_temperature_are_50_pt_and_verbs_40(plan_24, paper):
    plan_24.day.course.school.paper = paper
    pdf = render(kiln_room_html(plan_24))
    large = [word for word, _size in words_by_type(pdf, 0, 50)]
    clocks_and_heats = [part for at, heat, _verb in FIRING[:7] for part in (at, heat)]
    assert [word.removesuffix("°C") for word in large] == clocks_and_heats
    verbs = " ".join(word for word, size in words_by_type(pdf, 0, 40) if size < 50)
    assert verbs == "Sat KILN ON HOLD RAMP Sun HOLD RAMP HOLD COOL"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_row_has_room_to_write_in_gloves_and_a_box_to_tick(plan_24, paper):
    plan_24.day.course.school.paper = paper
    for boxes, rows in zip(sizes_of(render(kiln_room_html(plan_24)), "rect"), (7, 7, 2, 0), strict=True):
        # Inside the border of 1.6 pt, which is drawn as an inner and an outer outline.
        assert sum(width >= 34 and 13 <= height < 14 for width, height in boxes) == rows
        assert sum(box == pytest.approx((12, 12), abs=0.1) for box in boxes) == rows


def test_the_border_of_a_box_is_1_6_pt(plan_1):
    boxes = sizes_of(render(kiln_room_html(plan_1)), "rect")[0]
    for side_mm in (12, 37):
        border = 2 * 1.6 * MM_PER_POINT
        widths = {round(width, 1) for width, _height in boxes if side_mm - 2 < width < side_mm + 2}
        assert widths == {side_mm, round(side_mm - border, 1)}


def test_times_and_temperatures_are_those_of_the_plan(plan_24):
    far = " ".join(pages_of(render(kiln_room_html(plan_24)))[:3])
    for flask in json.loads(plan_24.plan_file)["flasks"]:
        out_at = datetime.fromisoformat(flask["out_at"])
        assert re.search(rf"{out_at:%H:%M} {flask['flask_c']} ?°C POUR {flask['label']}\b", far)


def test_the_firing_is_read_in_celsius(plan_1):
    near = pages_of(render(kiln_room_html(plan_1)))[-1]
    assert "167 °C/h 371 °C 1 h Sun 00:32 Sun 01:32" in near
    assert "fall, about 150 °C/h 538 °C 2 h Sun 08:00 Sun 10:00" in near
    assert "Keep the kiln door shut from wax-out to about 450 °C." in near


def test_a_ramp_in_fahrenheit_is_a_difference(plan_1):
    plan_1.day.course.school.temperature_unit = "F"
    pages = pages_of(render(kiln_room_html(plan_1)))
    # 167 x 1.8 = 300.6 F an hour; 371 C = 699.8 F, 732 C = 1349.6 F, both down; 450 x 1.8 + 32 = 842.
    assert "300 °F/h 699 °F 1 h" in pages[-1] and "270 °F/h 1000 °F" in pages[-1]
    assert "to about 842 °F." in pages[-1]
    assert re.search("01:32 1349 ?°F RAMP", pages[0])
    # 275 x 1.8 + 32 = 527.
    assert "Do not reheat or pour a flask that fell below 527 °F." in pages[-1]


def test_a_failing_power_is_met_in_short_words(plan_1):
    near = pages_of(render(kiln_room_html(plan_1)))[-1]
    for line in (
        "Leave the door shut.",
        "Note the time and the temperature.",
        "Tell the teacher.",
        # Common practice: the filler would crack on its way up again.
        "Do not reheat or pour a flask that fell below 275 °C.",
        "carry a cold flask the whole way",
        "Count it as below if nobody knows how far it fell.",
    ):
        assert line in near


def test_the_far_sheets_say_it_too(plan_24):
    for page in pages_of(render(kiln_room_html(plan_24)))[:3]:
        assert "Door shut from wax-out to about 450 °C." in page


def test_a_kiln_with_a_long_and_wicked_name_costs_no_sheet(day, teacher):
    name = "<script>{{ settings.SECRET_KEY }}</script> file:///etc/hostname " + "k" * 120
    plan, day_file = json.loads(json.dumps(plan_of_24()).replace('"k1"', json.dumps(name)))
    pages = pages_of(render(kiln_room_html(stored(day, teacher, plan, day_file))))
    assert len(pages) == 4
    assert all("Kiln <script>{{ settings.SEC" in page for page in pages)


def test_each_kiln_has_its_own_sheets(day, teacher):
    plan, day_file = plan_of_24()
    for flask in plan["flasks"][4:]:
        flask["kiln"] = "k2"
    plan["firings"].append(plan["firings"][0] | {"kiln": "k2"})
    day_file["kilns"].append(day_file["kilns"][0] | {"key": "k2"})
    pages = pages_of(render(kiln_room_html(stored(day, teacher, plan, day_file))))
    # 8 changes and 4 pours each: two sheets, and the one with the shelf.
    assert [re.search(r"Kiln (\w+)", page)[1] for page in pages] == ["k1"] * 3 + ["k2"] * 3
    assert "POUR E" not in pages[1] and "POUR E" in pages[4]


def test_a_day_without_a_firing_needs_no_schedule(plan_0):
    assert kiln_room_html(plan_0) is None


def test_the_same_revision_gives_the_same_bytes(plan_1):
    assert render(kiln_room_html(plan_1)) == render(kiln_room_html(plan_1))
