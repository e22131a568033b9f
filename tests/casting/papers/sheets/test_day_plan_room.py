"""The curves of the day plan are as high as its sides leave room for, and take no side more."""

import re

import pytest

from casting.models import Alloy, SafetyRecord
from casting.papers.pdf.render import render
from casting.papers.pdf.svg_minify import width_of
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.day_plan_room import COLUMN_EM, FRAME_EM, DayParts, caution_rows, room_mm
from casting.services.demo import load_demo
from tests.casting.conftest import STILL
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of
from tests.casting.papers.test_every_caution_printed import RECORDS
from tests.casting.papers.test_page_counts import check_edges, stored_plan
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import CourseFactory


def timetable_mm(page):
    """How high the timetable of a page is."""
    return float(re.search(r'class="drawing timetable"[^>]* height="([\d.]+)mm"|$', page)[1])


def parts(**changed):
    plain = {
        "fetched": 4, "bowls": 1, "mounts": [[(50.8, ["w1 Jo Ng, ring"])]], "left_out": 0, "gates": [0, 0, 0],
        "segments": [4], "pours": 1,
    }  # fmt: skip
    return DayParts(**(plain | changed))


def test_a_caution_takes_the_rows_of_its_words_behind_its_frame():
    m = width_of(" m")
    fit = int((COLUMN_EM - FRAME_EM) / m)
    assert caution_rows("m " * fit, "") == 1 and caution_rows("m " * (fit + 1), "") == 2
    assert caution_rows("m " * fit, "STOP") == 2 and caution_rows("", "STOP") == 1
    # What the font cannot draw counts as wide as its type is high.
    assert caution_rows("\u6f22\u5b57 " * 14, "") == 2


def test_room_is_what_one_side_leaves_and_none_where_a_side_would_be_added():
    # Head 30; five rows of 5.5 with a heading of 12, as the words under a bowl take four; heading and row of mounts 24
    # with 16.9 of picture; kiln 33.2; pours 27.2; timetable 30: 200.8 of 268.
    assert room_mm(parts(), 30, "A4") == pytest.approx(268 - 200.8, abs=0.1)
    assert room_mm(parts(), 30, "Letter") == pytest.approx(250 - 200.8, abs=0.1)
    assert room_mm(parts(), 97, "A4") == pytest.approx(0.2, abs=0.1)
    # A little over one side may be one side: nothing is added to it.
    assert room_mm(parts(left_out=3), 97, "A4") == 0


def test_a_break_between_two_sides_loses_what_the_table_of_pours_may_take():
    # 170.8 - 27.2 + 22 + 20 x 5.2 + 100 of timetable: 369.6, and pours of 126 may leave as much of the first side.
    assert room_mm(parts(pours=20), 100, "A4") == pytest.approx(2 * 268 - 369.6 - 126, abs=0.1)


@pytest.mark.parametrize(("waxes", "sides", "least_mm"), [(1, 1, 40), (12, 2, 80)])
def test_a_day_with_room_has_higher_curves_and_no_more_sides(day, teacher, waxes, sides, least_mm):
    # One flask and kiln: 14 + 14 + 3.4 = 31.4 mm without the room; five flasks in two kilns: 14 + 20 + 17 = 51.
    page = day_plan_html(job_of(stored_plan(day, teacher, waxes)))
    assert timetable_mm(page) >= least_mm
    pdf = render(page)
    assert len(pages_of(pdf)) == sides
    check_edges(pdf)


def test_a_full_day_keeps_them_low(day, teacher):
    # Ten flasks and two kilns on two full sides: 14 + 2 x 10 + 10 x 3.
    assert timetable_mm(day_plan_html(job_of(stored_plan(day, teacher, 24, seed=101)))) == pytest.approx(64, abs=0.1)


@pytest.mark.parametrize(("record", "paper"), [("everything hazardous", "A4"), ("nothing recorded", "Letter")])
def test_a_day_of_every_caution_has_its_pours_on_the_second_side(school, teacher, record, paper):
    school.paper = paper
    school.save()
    day = load_demo(school, CourseFactory(school=school), STILL.date())
    kept, metals = SafetyRecord.objects.filter(school=school), ["brass", "nickel-white-14k"]
    if RECORDS[record] is None:
        kept.delete()
    else:
        kept.update(**RECORDS[record])
        metals.append("copper")
    day.alloys.set(Alloy.objects.filter(school=school))
    for key in metals:
        handed_in(day, alloy=Alloy.objects.get(school=school, key=key))
    pdf = render(day_plan_html(job_of(make_plan(day, teacher, 10))))
    assert len(pages_of(pdf)) == 2
    check_edges(pdf)
