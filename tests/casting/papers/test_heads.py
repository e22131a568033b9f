"""The head of every sheet: what was cleared stands there, and stays in its place however long it is."""

import pytest

from casting.models import SafetyRecord
from casting.papers.pdf.render import render
from casting.papers.registry import PAPERS
from casting.papers.sheets.poster import poster_html
from casting.presenters.opened_plan import OpenedPlan
from casting.services.cautions import NAME_MOST, REASON_MOST, clear
from school.models import School
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, places_of
from tests.days.written_plans import plan_of_24

HEADED = [paper for paper in PAPERS if paper.key in ("day-plan", "flask-cards", "kiln-room", "slips", "weigh-out")]
PRINTED_FROM_MM = 4.2
"""No printer needs a wider edge than this (common practice)."""


def cleared(plan, reason, rules=("R-20a",), by="Imre Valdane"):
    SafetyRecord.objects.update(on_call=None, youngest_age=15, data_sheets=None)
    for rule in rules:
        clear(plan.day, rule, by=by, reason=reason)
    return plan


@pytest.mark.parametrize("paper", HEADED, ids=lambda paper: paper.key)
def test_a_name_and_reason_stand_whole_on_every_sheet(plan_own, paper):
    plan = cleared(plan_own, "Sunniva Okoro sleeps over the studio and is at the kiln from four")
    sheets = pages_of(render(paper.html(job_of(plan))))
    said = "Cleared: R-20a (Imre Valdane: Sunniva Okoro sleeps over the studio and is at the kiln from four)"
    assert sheets and all(said in sheet for sheet in sheets)


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("paper", HEADED, ids=lambda paper: paper.key)
def test_the_longest_reasons_leave_the_sheet_as_it_is(plan_24, paper, size):
    school = plan_24.day.course.school
    School.objects.filter(pk=school.pk).update(paper=size)
    school.refresh_from_db()
    count = len(pages_of(render(paper.html(job_of(plan_24)))))
    School.objects.filter(pk=school.pk).update(name="Tidewater Bench School of Metal and Stone, Port Ellery")
    school.refresh_from_db()
    long = ("sunniva stays with the kiln all that night " * REASON_MOST)[:REASON_MOST].strip()
    by = ("Imre Valdane-Oyelaran " * NAME_MOST)[:NAME_MOST].strip()
    made = render(paper.html(job_of(cleared(plan_24, long, ("R-20a", "R-27a", "R-39"), by))))
    assert len(pages_of(made)) == count
    for sheet in range(count):
        words = places_of(made, sheet)
        small = max(bottom for word, _left, _top, _right, bottom in words if word.startswith("sunniva"))
        assert min(top for _word, _left, top, _right, _bottom in words) > PRINTED_FROM_MM
        below = [top for word, _left, top, _right, _bottom in words if top > small]
        assert below and not [word for word, _l, top, _r, bottom in words if top < small < bottom]


@pytest.mark.parametrize("paper", HEADED, ids=lambda paper: paper.key)
def test_a_sheet_that_cuts_a_reason_says_where_it_stands_whole(plan_own, paper):
    plan = cleared(plan_own, "MW" * (REASON_MOST // 2), by="W" * NAME_MOST)
    for sheet in pages_of(render(paper.html(job_of(plan)))):
        assert "Cleared: full text on the teacher's sheet; R-20a (WWW" in sheet


def test_the_door_tells_passers_by_nothing_of_what_was_cleared(plan_24):
    before = poster_html(job_of(plan_24.day))
    cleared(plan_24, "parents have the note", ("R-27a", "R-39"))
    assert poster_html(job_of(plan_24.day)) == before
    assert "R-27a" in OpenedPlan(plan_24).cleared


def test_what_only_the_plan_raises_is_cleared_in_full_on_the_teachers_sheet_and_the_supplement(day, teacher):
    plan, day_file = plan_of_24()
    only = {
        "id": "bowl-full",
        "level": "WARN",
        "when": "plan",
        "text": "Use a larger bowl.",
        "basis": "common practice",
    }
    plan = stored(day, teacher, plan | {"cautions": [only]}, day_file)
    clear(day, "bowl-full", by="Imre Valdane", reason="y" * REASON_MOST)
    whole = {paper.key for paper in PAPERS if "y" * REASON_MOST in str(paper.html(job_of(plan)))}
    assert {"teacher-safety", "supplement", "supplement-es"} <= whole
    # These are given out before there is a plan, and no plan changes them.
    assert not whole & {"handout", "handout-es"}


def test_what_finds_no_room_is_named_and_stands_whole_on_the_teachers_sheet(plan_24):
    plan = cleared(plan_24, "x" * REASON_MOST, ("R-20a", "R-27a", "R-39"))
    assert OpenedPlan(plan).cleared.endswith("), R-27a, R-39")
    whole = {paper.key: str(paper.html(job_of(plan))).count("x" * REASON_MOST) for paper in PAPERS}
    # The handout prints no WARN, so none that was cleared either.
    assert whole["teacher-safety"] == 3 and whole["handout"] == whole["handout-es"] == 0


def test_a_cleared_stop_stands_whole_on_every_safety_paper(plan_24):
    SafetyRecord.objects.update(co_alarm=False, asbestos=True, people_near_kiln=True)
    for rule in ("R-19b", "R-32a"):
        clear(plan_24.day, rule, by="Imre Valdane", reason="x" * REASON_MOST)
    for key in ("handout", "handout-es", "teacher-safety"):
        (paper,) = [paper for paper in PAPERS if paper.key == key]
        assert str(paper.html(job_of(plan_24))).count("x" * REASON_MOST) == 2
