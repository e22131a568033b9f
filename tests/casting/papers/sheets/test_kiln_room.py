"""The kiln room's schedule: read from two metres away, and the same as the plan."""

import json
import re
from datetime import UTC, datetime

import pypdfium2
import pytest

from casting.dayfile import read
from casting.papers.pdf.render import render
from casting.papers.sheets.kiln_room import Row, kiln_room_html, rows_of, sheets_of
from casting.presenters.plan_reader import plan_sheet_of, read_plan
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT, pages_of, places_of, sizes_of, words_by_type
from tests.days.written_plans import as_text, plan_of_24, plan_with

# Ramps and holds of 755 min, 12 h 35 min, up to 10:00 on Sunday; the clocks went an hour on at 2, so from 20:25.
# What is held until when, and where the kiln goes then.
NIGHT = [
    ("20:25", None, "KILN ON", None, 149), ("21:12", 149, "HOLD", "23:12", 371), ("00:32", 371, "HOLD", "01:32", 732),
    ("02:00", None, "→ 03:00", None, None), ("04:42", 732, "HOLD", "06:42", 538),
]  # fmt: skip
SOAK = ("08:00", 538, "SOAK", None, None)


def read_plan_24():
    return read_plan(*as_text(*plan_of_24()))


def plan_of_12():
    """The first four flasks of the day of 24 waxes."""
    plan, day = plan_of_24()
    return plan_with(plan["flasks"][:4]), day | {"waxes": day["waxes"][:12]}


def told(rows):
    return [
        (f"{row.at:%H:%M}", row.to_c, row.verb, f"{row.until:%H:%M}" if row.until else None, row.then_c) for row in rows
    ]


def second_kiln():
    """The day of 24 waxes with its last four flasks in a kiln of their own, soaked until the last is out."""
    plan, day = plan_of_24()
    first, second = plan["firings"][0], json.loads(json.dumps(plan["firings"][0])) | {"kiln": "k2"}
    for firing, flasks in ((first, plan["flasks"][:4]), (second, plan["flasks"][4:])):
        firing["segments"][-1]["ends_at"] = flasks[-1]["out_at"]
        for flask in flasks:
            flask["kiln"] = firing["kiln"]
    plan["firings"].append(second)
    day["kilns"].append(day["kilns"][0] | {"key": "k2"})
    return plan, day


def falls_after(plan, *nths):
    """The plan with falls of 10 degrees as those flasks are out, counted from 0."""
    segments, to_c = plan["firings"][0]["segments"], 538
    for nth in nths:
        out_at, later = (flask["out_at"] for flask in plan["flasks"][nth : nth + 2])
        to_c -= 10
        segments[-1]["ends_at"] = out_at
        segments.append(segments[-1] | {"to_c": to_c, "starts_at": out_at, "reached_at": later, "ends_at": later})
        for flask in plan["flasks"][nth + 1 :]:
            flask["flask_c"] = to_c
    segments[-1]["ends_at"] = plan["flasks"][-1]["out_at"]
    return plan


def test_the_night_is_a_row_for_each_hold_and_the_day_one_for_each_pour():
    sheet = read_plan_24()
    night, day = rows_of(sheet, sheet.kilns[0])
    assert told(night) == NIGHT
    pours = [(f"10:{8 * nth:02}", 538, f"POUR {label}", None, None) for nth, label in enumerate("ABCDEFGH")]
    assert told(day) == [SOAK, *pours]


def test_a_kiln_that_turns_as_it_gets_there_has_its_row():
    plan, day = plan_of_24()
    segment = plan["firings"][0]["segments"][1]
    segment |= {"hold_min": 0, "ends_at": segment["reached_at"]}
    sheet = read_plan(*as_text(plan, day))
    assert told(rows_of(sheet, sheet.kilns[0])[0])[2] == ("00:32", 371, "GO ON", None, 732)


def test_flasks_are_loaded_before_their_kiln_goes_on():
    plan, day = plan_of_24()
    before = {"at": plan["firings"][0]["on_at"], "do": "load", "say": "Load."}
    inside = [flask["label"] for flask in plan["flasks"] if flask["kiln"] == "k1"]
    loads = [before | {"until": before["at"], "flasks": [label], "kiln": "k1"} for label in inside]
    loads.append(loads[0] | {"flasks": ["Z"], "kiln": "k2"})
    sheet = read_plan(*as_text(plan | {"steps": loads + plan["steps"]}, day))
    first, second = rows_of(sheet, sheet.kilns[0])[0][:2]
    assert (first.verb, first.to_c, second.verb) == (f"LOAD {len(inside)}", None, "KILN ON")


@pytest.mark.parametrize("with_step", [True, False])
def test_every_flask_that_is_not_poured_is_counted(with_step):
    """However few of them the plan loads: those that were invested before it stand on the bench and go in too."""
    plan, day = plan_of_24()
    at = plan["firings"][0]["on_at"]
    labels = [flask["label"] for flask in plan["flasks"]]
    step = {"at": at, "until": at, "do": "load", "flasks": labels[:1], "kiln": "k1", "say": "Load."}
    file = json.loads(json.dumps(plan | {"steps": [step] * with_step + plan["steps"]})), read(json.dumps(day))
    sheet = plan_sheet_of(*file, on_bench=dict.fromkeys(labels[1:], "invested"))
    first = rows_of(sheet, sheet.kilns[0])[0][0]
    assert (first.verb, first.done, first.timed) == (f"LOAD {len(labels)}", False, with_step)
    sheet = plan_sheet_of(*file, on_bench=dict.fromkeys(labels, "poured"))
    assert rows_of(sheet, sheet.kilns[0])[0][0].verb == ("LOADED" if with_step else "KILN ON")


def test_where_a_kiln_falls_to_stands_beside_the_last_pour_before_it():
    plan, day = plan_of_24()
    sheet = read_plan(*as_text(falls_after(plan, 1, 4), day))
    pours = rows_of(sheet, sheet.kilns[0])[1]
    # A and B at 538; C, D and E at 528; the rest at 518. No row but the pours': seven or fewer stay on one sheet.
    assert [row.to_c for row in pours] == [538, 538, 538, 528, 528, 528, 518, 518, 518]
    assert [(row.verb, row.then_c) for row in pours if row.then_c] == [("POUR B", 528), ("POUR E", 518)]


def test_a_kiln_is_off_after_its_own_last_pour(day, teacher):
    plan, day_file = second_kiln()
    last = [plan["flasks"][3]["label"], plan["flasks"][-1]["label"]]
    pages = pages_of(render(kiln_room_html(job_of(stored(day, teacher, plan, day_file)))))
    # What follows OFF is the foot of the sheet: no pour comes after it.
    off = [re.findall(r"POUR (\w+) then OFF(?!.*POUR)", page) for page in pages if "then OFF" in page]
    assert off == [[label] for label in last]


@pytest.mark.parametrize(
    ("night", "pours", "sheets"),
    [
        (5, 2, [7]),
        (5, 3, [5, 3]),
        (5, 7, [5, 7]),
        (5, 8, [6, 7]),  # A soak and seven pours: the soak ends the night.
        (5, 9, [5, 7, 2]),
        (8, 8, [7, 2, 7]),
    ],
)
def test_one_sheet_if_all_find_room_else_the_night_and_the_pours(night, pours, sheets):
    sheet = read_plan_24()
    row = rows_of(sheet, sheet.kilns[0])[0][0]
    far = sheets_of([row] * night, [row] * pours)
    assert [len(one.rows) for one in far] == sheets
    assert [one.part for one in far][-1] == ("pours" if len(sheets) > 1 else "")


def test_the_weekday_stands_past_midnight_and_on_each_sheet():
    sheet = read_plan_24()
    sheets = sheets_of(*rows_of(sheet, sheet.kilns[0]))
    # The first of each sheet, the third, the first after midnight, and the clock change.
    assert [[nth for nth, row in enumerate(far.rows) if row.new_day] for far in sheets] == [[0, 2, 3], [0], [0]]


@pytest.mark.parametrize(
    ("paper", "width_mm", "height_mm"), [("A4", 297, 210), ("Letter", 279.4, 215.9)]
)  # fmt: skip
def test_every_sheet_lies_on_its_side(plan_24, paper, width_mm, height_mm):
    plan_24.day.course.school.paper = paper
    pages = pypdfium2.PdfDocument(render(kiln_room_html(job_of(plan_24))))
    # The night, its back with the shelf, a soak and eight pours, seven to a sheet.
    assert len(pages) == 4
    for page in pages:
        assert [mm * MM_PER_POINT for mm in page.get_size()] == pytest.approx([width_mm, height_mm], abs=0.2)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_kiln_of_few_flasks_has_one_sheet_and_its_back(day, teacher, plan_1, paper):
    twelve = stored(day, teacher, *plan_of_12(), revision=4)
    for plan in (plan_1, twelve):
        plan.day.course.school.paper = paper
    # The kiln on, three holds and a soak; with one pour six rows, with four nine: night and pours.
    one, four = (pages_of(render(kiln_room_html(job_of(plan)))) for plan in (plan_1, twelve))
    parts = ["night and pours", "shelf, firing, trouble"]
    parts += ["night, sheet 1 of 2", "shelf, firing, trouble", "pours, sheet 2 of 2"]
    assert [part in page for part, page in zip(parts, one + four, strict=True)] == [True] * 5


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_clock_and_temperature_are_50_pt_verbs_40_and_weekdays_30(plan_24, paper):
    plan_24.day.course.school.paper = paper
    pdf = render(kiln_room_html(job_of(plan_24)))
    large = [word for word, _size in words_by_type(pdf, 0, 50)]
    clocks_and_heats = [part for at, heat, *_rest in NIGHT for part in (at, heat and str(heat)) if part]
    assert [word.removesuffix("°C") for word in large] == clocks_and_heats
    verbs = " ".join(word for word, size in words_by_type(pdf, 0, 40) if size < 50)
    assert verbs == "KILN ON HOLD HOLD → 03:00 HOLD"
    assert [word for word, size in words_by_type(pdf, 0, 30) if size < 40] == ["Sat", "Sun", "Sun"]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_of_a_row_stands_on_its_boxes(plan_24, paper):
    """In Fahrenheit, where figures are widest."""
    plan_24.day.course.school.paper, plan_24.day.course.school.temperature_unit = paper, "F"
    pdf = render(kiln_room_html(job_of(plan_24)))
    places = places_of(pdf, 0)
    left_of_boxes, head = next((left, bottom) for word, left, _top, _right, bottom in places if word == "done")
    clock, heat = ([place for place in places if place[0].startswith(word)][-1] for word in ("04:42", "1350"))
    assert heat[1] - clock[3] > 2.5
    foot = next(top for word, _left, top, *_edges in places if word == "Keep")
    assert max(right for _word, _left, top, right, _bottom in places if head < top < foot - 1) < left_of_boxes - 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_hold_into_a_wednesday_stands_clear_of_its_box(plan_24, paper, monkeypatch):
    # "Wed" is the widest weekday; every hold of the night names it here.
    monkeypatch.setattr(Row, "ends", property(lambda row: "Wed 01:54" if row.until else ""))
    plan_24.day.course.school.paper = paper
    places = places_of(render(kiln_room_html(job_of(plan_24))), 0)
    left_of_boxes, head = next((left, bottom) for word, left, _top, _right, bottom in places if word == "done")
    ends = [right for word, _left, top, right, _bottom in places if word == "01:54" and top > head]
    assert len(ends) == 3
    assert max(ends) < left_of_boxes - 0.5


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_row_has_room_to_write_in_gloves_and_a_box_to_tick(plan_24, paper):
    plan_24.day.course.school.paper = paper
    for boxes, rows in zip(sizes_of(render(kiln_room_html(job_of(plan_24))), "rect"), (5, 0, 7, 2), strict=True):
        # Inside the border of 1.6 pt, which is drawn as an inner and an outer outline.
        assert sum(width >= 29.5 and 13 <= height < 14 for width, height in boxes) == rows
        assert sum(box == pytest.approx((12, 12), abs=0.1) for box in boxes) == rows


def test_the_border_of_a_box_is_1_6_pt(plan_1):
    # The box to write in fills its column: 38 mm on A4.
    boxes = sizes_of(render(kiln_room_html(job_of(plan_1))), "rect")[0]
    for side_mm in (12, 38):
        border = 2 * 1.6 * MM_PER_POINT
        widths = {round(width, 1) for width, _height in boxes if side_mm - 2 < width < side_mm + 2}
        assert widths == {side_mm, round(side_mm - border, 1)}


def test_times_and_temperatures_are_those_of_the_plan(plan_24):
    far = " ".join(pages_of(render(kiln_room_html(job_of(plan_24))))[2:])
    for flask in json.loads(plan_24.plan_file)["flasks"]:
        out_at = datetime.fromisoformat(flask["out_at"])
        assert re.search(rf"{out_at:%H:%M} {flask['flask_c']} ?°C POUR {flask['label']}\b", far)


def test_the_firing_is_read_in_celsius(plan_1):
    near = pages_of(render(kiln_room_html(job_of(plan_1))))[1]
    assert "Sat 23:12 167 °C/h 371 °C Sun 00:32 1 h" in near
    assert "Sun 06:42 fall, about 150 °C/h 538 °C Sun 08:00 2 h Sun 10:00 last flask out: off" in near
    assert "Keep the kiln door shut from wax-out until the kiln has passed about 450 °C." in near


def test_a_ramp_in_fahrenheit_is_a_difference(plan_1):
    plan_1.day.course.school.temperature_unit = "F"
    far, near = pages_of(render(kiln_room_html(job_of(plan_1))))
    # 167 x 1.8 = 300.6 F an hour; 371 C = 699.8 F, 732 C = 1349.6 F; 450 x 1.8 + 32 = 842, a limit: up to ten.
    assert "301 °F/h 700 °F Sun 00:32 1 h" in near and "270 °F/h 1000 °F" in near
    assert "has passed about 850 °F." in near
    assert re.search("00:32 700 ?°F HOLD until 01:32 then 1350 °F", far)
    # 275 x 1.8 + 32 = 527, up to ten.
    assert "Do not reheat or pour a flask that fell below 530 °F." in near


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_kiln_with_many_falls_keeps_every_line_of_its_back(day, teacher, paper):
    plan, day_file = plan_of_24()
    day.course.school.paper = paper
    plan = falls_after(plan, *range(7))
    assert len(plan["firings"][0]["segments"]) == 11
    pages = pages_of(render(kiln_room_html(job_of(stored(day, teacher, plan, day_file)))))
    assert len(pages) == 4
    assert "Sun 10:56 last flask out: off" in pages[1]
    assert "If nobody knows how far it fell, treat it as below." in pages[1]
    assert all(f"{538 - 10 * nth} °C {label}" in pages[1] for nth, label in enumerate("ABCDEFGH"))


@pytest.mark.parametrize(("width_mm", "depth_mm"), [(711, 711), (300, 900)])
def test_the_type_of_the_largest_kilns_back_can_be_read(day, teacher, width_mm, depth_mm):
    plan, day_file = plan_of_24()
    day_file["kilns"][0] |= {"width_mm": width_mm, "depth_mm": depth_mm}
    pdf = render(kiln_room_html(job_of(stored(day, teacher, plan, day_file))))
    assert len(pages_of(pdf)) == 4
    words = words_by_type(pdf, 1, 0)
    assert {"door", *"ABCDEFGH"} <= {word for word, _size in words}
    assert min(size for _word, size in words) >= 7


def test_a_failing_power_is_met_in_short_words(plan_1):
    near = pages_of(render(kiln_room_html(job_of(plan_1))))[1]
    for line in (
        "Leave the door shut.",
        "Note the time and the temperature.",
        "Tell the teacher.",
        # Common practice: the filler would crack on its way up again.
        "Do not reheat or pour a flask that fell below 275 °C.",
        "carry a cold flask the whole way",
        "If nobody knows how far it fell, treat it as below.",
    ):
        assert line in near


def test_the_sheet_of_the_night_keeps_the_door_shut_and_those_of_the_pours_do_not(plan_24):
    night, _near, *pours = pages_of(render(kiln_room_html(job_of(plan_24))))
    assert "Keep the door shut until the kiln has passed about 450 °C." in night
    assert pours and not [page for page in pours if "Keep the door shut" in page]


def test_a_hold_past_midnight_names_the_day_of_its_end():
    at = datetime(2027, 3, 13, 22, 30, tzinfo=UTC)
    assert Row(at, "HOLD", 371, until=datetime(2027, 3, 14, 0, 30, tzinfo=UTC)).ends == "Sun 00:30"
    assert Row(at, "HOLD", 371, until=datetime(2027, 3, 13, 23, 30, tzinfo=UTC)).ends == "23:30"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_of_pours_names_the_pour_that_follows_it(plan_24, paper):
    plan_24.day.course.school.paper = paper
    night, near, pours, more = pages_of(render(kiln_room_html(job_of(plan_24))))
    clock, pour = re.search(r"(\d\d:\d\d) \d+ ?°C (POUR \w+)", more).groups()
    assert f"Continues: {clock} {pour} is on sheet 3." in pours
    assert not any("Continues" in page for page in (night, near, more))


def test_a_kiln_with_a_long_and_wicked_name_costs_no_sheet(day, teacher):
    name = "<script>{{ settings.SECRET_KEY }}</script> file:///etc/hostname " + "k" * 120
    plan, day_file = json.loads(json.dumps(plan_of_24()).replace('"k1"', json.dumps(name)))
    pages = pages_of(render(kiln_room_html(job_of(stored(day, teacher, plan, day_file)))))
    assert len(pages) == 4
    assert all("Kiln <script>{{ settings.SEC" in page for page in pages)


def test_each_kiln_has_its_own_sheets_and_none_its_front_on_anothers_back(day, teacher):
    pages = pages_of(render(kiln_room_html(job_of(stored(day, teacher, *second_kiln())))))
    # Night, its back, pours and a soak; the back of the pours is left empty.
    assert [re.search(r"[Kk]iln (k\d)", page)[1] for page in pages] == ["k1"] * 4 + ["k2"] * 3
    assert "Left empty" in pages[3]
    assert "POUR E" not in pages[2] and "POUR E" in pages[6]
    assert "08:00 538°C SOAK" in pages[6]


def test_a_day_without_a_firing_needs_no_schedule(plan_0):
    assert kiln_room_html(job_of(plan_0)) is None


def test_until_and_then_are_24_pt(plan_24):
    words = [word for word, size in words_by_type(render(kiln_room_html(job_of(plan_24))), 0, 24) if size < 30]
    assert {"until", "then"} <= set(words)


def test_a_pour_has_its_metal_and_its_quench(plan_1):
    far = pages_of(render(kiln_room_html(job_of(plan_1))))[0]
    assert "Sterling silver, quench from 10:15" in far


def test_a_flask_with_stones_is_not_quenched(day, teacher):
    plan, day_file = plan_of_24()
    plan["flasks"][0]["kind"] = "stones"
    pours = pages_of(render(kiln_room_html(job_of(stored(day, teacher, plan, day_file)))))[2]
    assert "POUR A Sterling silver, stones: no quench" in pours and "quench from 10:15" not in pours
    assert "POUR B Sterling silver, quench from 10:23" in pours


def test_a_kiln_is_named_as_the_school_named_it(day, teacher):
    plan, day_file = plan_of_24()
    day_file["kilns"][0]["name"] = "k1 by the window"
    pages = pages_of(render(kiln_room_html(job_of(stored(day, teacher, plan, day_file)))))
    assert all("k1 by the window" in page for page in pages)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_poured_flask_and_the_next_fall_stand_clear_of_the_box(day, teacher, paper):
    """In Fahrenheit, of the widest letter."""
    plan, day_file = plan_of_24()
    plan["flasks"][0]["label"] = "W"
    day.flasks.create(label="W", state="poured")
    day.course.school.paper, day.course.school.temperature_unit = paper, "F"
    day.course.school.save()
    places = places_of(render(kiln_room_html(job_of(stored(day, teacher, falls_after(plan, 0), day_file)))), 2)
    left_of_boxes = next(left for word, left, *_edges in places if word == "done")
    # 528 x 1.8 + 32 = 982.4
    fall = next(right for word, _left, _top, right, _bottom in places if word.startswith("982"))
    assert "POURED" in {word for word, *_edges in places} and fall < left_of_boxes - 0.5
