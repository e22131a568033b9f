"""The number of the gauge in words: at the sea and above it, of both kinds, in two languages, and where unknown."""

from dataclasses import replace

import pytest
from django.utils.translation import override

from casting.calc.cautions.school_record import SafetyRecord
from casting.models import SafetyRecord as Row
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.handout import handout_es_html, handout_html
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.teacher_safety import teacher_safety_html
from casting.presenters.cautions import to_settle
from casting.presenters.vacuum import gauge_line
from casting.services.cautions import clear
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

DENVER = SafetyRecord(gauge_unit="inHg", gauge_kind="relative", elevation_m=1609)


def test_a_relative_gauge_has_the_number_of_its_height():
    # 22.72 inHg at 1609 m and 28.00 at the sea are 65 mbar absolute: rows WA-ACC-006, WA-ACC-001. A dial reads to 0.1,
    # and the number never falls short. 20 mbar are 0.59 inHg.
    line = gauge_line(DENVER)
    assert line.number == "22.8 inHg or more"
    assert line.note == (
        "Pull as deep as the pump goes. This is 65 mbar absolute at 1609 m in ordinary weather. "
        "In high-pressure weather it takes about 0.6 inHg more."
    )
    assert gauge_line(replace(DENVER, elevation_m=0)).number == "28.1 inHg or more"
    assert gauge_line(replace(DENVER, gauge_unit="mbar")).number == "770 mbar or more"


def test_an_absolute_gauge_has_one_number_everywhere():
    line = gauge_line(replace(DENVER, gauge_kind="absolute", gauge_unit="mbar", elevation_m=None))
    assert line.number == "65 mbar or less" and "holds at any height" in line.note


@pytest.mark.parametrize(
    ("missing", "asked"),
    [("gauge_unit", "unit of the gauge"), ("gauge_kind", "kind of gauge"), ("elevation_m", "height above the sea")],
)
def test_what_is_not_known_leaves_a_line_to_write_on(missing, asked):
    line = gauge_line(replace(DENVER, **{missing: None}))
    assert line.number == f"____ (not recorded, ask: {asked})" and line.note == ""


def test_in_spanish_with_a_comma():
    with override("es"):
        assert gauge_line(DENVER).number == "22,8 inHg o más"
        assert gauge_line(replace(DENVER, elevation_m=None)).number == (
            "____ (no consta, pregunta: altura sobre el mar)"
        )


@pytest.fixture
def plan(day, teacher, student):
    handed_in(day, student)
    school = day.course.school
    school.elevation_m = 1609
    school.save()
    Row.objects.filter(school=school).update(gauge_unit="inHg", gauge_kind="relative", pump_best=24)
    return make_plan(day, teacher)


PAPERS = {"day plan": day_plan_html, "mix": mix_html, "teacher": teacher_safety_html, "handout": handout_html}


@pytest.mark.parametrize("paper", PAPERS)
def test_every_paper_that_asks_for_the_number_names_it(plan, paper):
    job = job_of(plan.day) if paper == "handout" else job_of(plan)
    assert "22.8 inHg or more" in PAPERS[paper](job)
    Row.objects.update(gauge_kind=None)
    html = PAPERS[paper](job_of(plan.day) if paper == "handout" else job_of(plan))
    assert "____ (not recorded, ask: kind of gauge)" in html and "inHg or" not in html


@pytest.mark.parametrize("paper", ["day plan", "mix", "teacher"])
def test_a_pump_that_cannot_get_there_is_named_beside_the_number(plan, paper):
    # 22.72 inHg is 65 mbar absolute at 1609 m and 24.64 the whole air: rows WA-ACC-006 and WA-ALT-006.
    assert "vacuum gauge and its record" not in PAPERS[paper](job_of(plan))
    Row.objects.update(pump_best=28)
    assert "is down as 28 inHg. The air at 1609 m allows 24.6 inHg at most." in PAPERS[paper](job_of(plan))
    Row.objects.update(pump_best=20)
    weak = PAPERS[paper](job_of(plan))
    assert "has to reach 22.8 inHg" in weak and "best on record is 20 inHg" in weak


def test_a_warning_that_was_cleared_leaves_the_mix_sheet_for_its_head(plan):
    Row.objects.update(pump_best=20)
    clear(plan.day, "vacuum-weak", by="Imre Valdane", reason="A new pump is here")
    html = mix_html(job_of(plan))
    assert "best on record is 20 inHg" not in html and "vacuum-weak (Imre Valdane: A new pump is here)" in html


def test_the_spanish_handout_names_it_too(plan):
    assert "22,8 inHg o más" in handout_es_html(job_of(plan.day))


def test_the_screen_names_it_at_the_mix_and_at_the_gates(plan, teacher_client):
    page = teacher_client.get(f"/days/{plan.day_id}/day-plan/").content.decode()
    assert page.count("22.8 inHg or more") == 2


def test_the_height_is_among_the_questions_unless_the_gauge_is_absolute(day):
    record = Row.objects.get(school=day.course.school)
    record.school.elevation_m = None
    record.gauge_kind = "relative"
    assert to_settle(record) == ["Height above the sea: on the page School"]
    record.gauge_kind = "absolute"
    assert to_settle(record) == []
