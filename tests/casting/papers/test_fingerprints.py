"""What a print is noted to be made of: whatever changes a page changes its fingerprint, and little else does."""

from datetime import time, timedelta

import pytest
from django.db import transaction
from django.utils.translation import override

from casting.models import (
    Alloy,
    CastingDay,
    FlaskMishap,
    Investment,
    PaperPrinted,
    Plan,
    PriceList,
    SafetyRecord,
    StepRecord,
    Wax,
    WaxPhoto,
)
from casting.papers.edition import edition_of
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from casting.services.cautions import clear
from casting.worker.photo import clean
from school.models import Course, School
from tests.casting.conftest import STILL
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.days.written_plans import plan_of_24, plan_of_none, plan_of_one
from tests.factories import StudentFactory
from tests.photos import photo

ALL = {paper.key for paper in PAPERS}
OF_DAY = {"poster", "handout", "handout-es"}
SHEETS = ALL - OF_DAY
SUPPLEMENTS = {"supplement", "supplement-es"}
HANDOUTS = {"handout", "handout-es"}
BENCH = {"day-plan", "flask-cards", "mix", "kiln-room", "weigh-out"}
NUMBERED = {"teacher-safety", "day-plan", "mix"}
NAMED = {"day-plan", "flask-cards", "weigh-out", "weigh-back", "slips"}


@pytest.fixture
def planned(day, teacher):
    """A plan of two waxes in a school that did not record its leak test."""
    SafetyRecord.objects.filter(school=day.course.school).update(leak_test=None, exits="Green door")
    handed_in(day)
    handed_in(day)
    return make_plan(day, teacher)


def flask(state):
    return lambda plan: plan.day.flasks.filter(label="A").update(state=state)


def noted_on(plan):
    kiln = plan.file["firings"][0]["kiln"]
    StepRecord.objects.create(day=plan.day, do="kiln_on", what=kiln, done_at=STILL)


def base_weighed(plan):
    tags = [wax["key"] for wax in plan.file["flasks"][0]["waxes"]]
    figures = {"gross_g": "30", "base_g": "20", "tags": tags}
    StepRecord.objects.create(day=plan.day, do="weighed", what="A", done_at=STILL, figures=figures)


def gone_wrong(plan):
    FlaskMishap.objects.create(day=plan.day, label="A", kind="cracked", left="unpoured", at=STILL)


def later_plan(plan):
    Plan.objects.create(day=plan.day, revision=2, plan_file=plan.plan_file, day_file=plan.day_file)


def rename(plan):
    wax = Wax.objects.filter(day=plan.day).first()
    type(wax.student).objects.filter(pk=wax.student_id).update(called="Wilhelmina Oster")


def photographed(plan):
    small = clean(photo()).small
    WaxPhoto.objects.create(wax=plan.day.waxes.earliest("pk"), sent_as="abc", jpeg=b"", small=small)


def record(**facts):
    return lambda plan: SafetyRecord.objects.filter(school=plan.day.course.school).update(**facts)


def school(**fields):
    return lambda plan: School.objects.filter(pk=plan.day.course.school_id).update(**fields)


def day_row(**fields):
    return lambda plan: CastingDay.objects.filter(pk=plan.day_id).update(**fields)


def alloys(plan):
    return Alloy.objects.filter(school=plan.day.course.school)


CHANGES = [
    ("another revision", later_plan, SHEETS),
    ("a student's name", rename, NAMED),
    ("a piece's name", lambda plan: Wax.objects.filter(day=plan.day).update(what="brooch"), NAMED),
    ("a note", lambda plan: Wax.objects.filter(day=plan.day).update(note="no polish"), {"flask-cards"}),
    ("a photo", photographed, {"flask-cards"}),
    ("a flask invested", flask("invested"), BENCH - {"kiln-room", "weigh-out"}),
    ("a flask poured", flask("poured"), BENCH),
    ("a base weighed", base_weighed, {"day-plan", "flask-cards", "weigh-out", "weigh-back"} | SUPPLEMENTS),
    ("a flask cracked", gone_wrong, BENCH - {"mix"} | {"weigh-back", "slips"} | SUPPLEMENTS),
    ("a kiln noted on", noted_on, {"kiln-room", "flask-cards"}),
    ("a wax's weight", lambda plan: Wax.objects.filter(day=plan.day).update(wax_g=2), SHEETS),
    ("another wax", lambda plan: handed_in(plan.day), SHEETS | NAMED),
    ("a student more", lambda plan: StudentFactory(course=plan.day.course), {"teacher-safety"}),
    ("a metal more", lambda plan: plan.day.alloys.add(alloys(plan).get(key="brass")), SHEETS | HANDOUTS),
    ("another powder", lambda plan: Investment.objects.update(water_per_100=39), SHEETS | HANDOUTS),
    ("a place", record(exits="Blue door"), HANDOUTS | {"teacher-safety"}),
    ("a solvent", record(solvents=True), HANDOUTS | SUPPLEMENTS | {"teacher-safety", "day-plan", "flask-cards"}),
    ("the gauge", record(gauge_unit="mbar", pump_best=970), HANDOUTS | NUMBERED),
    ("the school's height", school(elevation_m=1609), ALL - {"poster"}),
    ("clearing", lambda plan: clear(plan.day, "R-16b", by="Imre Valdane", reason="Soap test"), ALL - {"poster"}),
    ("the school's name", school(name="Ebbe Bench School"), ALL),
    ("the school's scale", school(temperature_unit="F"), ALL),
    ("the school's lengths", school(length_unit="in"), ALL),
    ("the school's weights", school(weight_unit="ozt"), ALL),
    ("the school's paper", school(paper="Letter"), ALL),
    ("the school's currency", school(currency="EUR"), ALL),
    ("the prices", lambda plan: PriceList.objects.create(school=plan.day.course.school, version=1), {"slips"}),
    ("the class's name", lambda plan: Course.objects.filter(pk=plan.day.course_id).update(name="Bezels"), {"poster"}),
    ("the studio's hours", day_row(opens=time(6), closes=time(23)), SHEETS),
    ("the end of hand-in", day_row(hand_in_closes_at=STILL + timedelta(days=1)), {"poster"}),
    ("hand-in closed", day_row(closed_at=STILL), {"poster"}),
]


def pages_now(plan, origin=""):
    """(page, parts) of each paper as the rows are now."""
    day = CastingDay.objects.select_related("course__school").get(pk=plan.day_id)
    papers = papers_of(day, Plan.objects.latest_of(day), origin)
    return {page.key: (page.html, page.parts) for page in map(papers.page, PAPERS)}


def test_whatever_changes_a_page_makes_its_print_out_of_date_and_little_else_does(planned):
    before = pages_now(planned)
    assert pages_now(planned) == before and all(html for html, _parts in before.values())
    for what, change, expected in CHANGES:
        with transaction.atomic():
            change(planned)
            after = pages_now(planned)
            transaction.set_rollback(True)
        outdated = {key for key in ALL if after[key][1] != before[key][1]}
        other = {key for key in ALL if after[key][0] != before[key][0]}
        assert other <= outdated, what
        assert outdated == expected, what
    assert pages_now(planned) == before


def test_a_page_for_another_address_is_another_page_and_for_another_reader_the_same(planned):
    before = pages_now(planned)
    moved = pages_now(planned, "https://bench.example.org")
    with override("es"):
        spanish = pages_now(planned)
    assert {key for key in ALL if moved[key] != before[key]} == {"poster", "flask-cards"}
    assert spanish == before


def test_a_day_that_moves_to_another_date_needs_other_papers_though_the_plan_has_the_old_one(planned):
    before = pages_now(planned)
    CastingDay.objects.filter(pk=planned.day_id).update(pour_at=planned.day.pour_at + timedelta(days=7))
    after = pages_now(planned)
    assert {key for key in ALL if after[key][1] != before[key][1]} == ALL
    assert all(after[key][0] != before[key][0] for key in OF_DAY)


@pytest.mark.parametrize("written", [plan_of_none, plan_of_one, plan_of_24])
def test_a_paper_is_listed_exactly_where_there_is_one(day, teacher, written):
    plan = stored(day, teacher, *written())
    for paper in PAPERS:
        assert paper.needed(plan) == (paper.html(job_of(plan)) is not None), paper.key
        assert paper.needed(None) == (paper.html(job_of(day)) is not None), paper.key


def test_the_same_parts_are_the_same_edition():
    a, b = {"offered": "1"}, {"offered": "2"}

    def printed(*parts):
        return [PaperPrinted(key="handout", parts=one) for one in parts]

    assert (edition_of([], a).number, edition_of([], a).replaces) == (1, None)
    assert (edition_of(printed(a, a), a).number, edition_of(printed(a), a).replaces) == (1, None)
    rows = printed(a, b, b)
    assert (edition_of(rows, b).number, edition_of(rows, b).replaces) == (2, rows[0])
    assert (edition_of(rows, a).number, edition_of(rows, a).replaces) == (3, rows[2])
