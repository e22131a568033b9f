"""A name with letters that papers lack prints as its student spelled it; every other name prints as it is."""

import pytest
from django.urls import reverse

from casting.models import Plan, SafetyRecord, Wax
from casting.papers.pdf.glyphs import BOX
from casting.papers.pdf.render import render
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from casting.presenters.opened_plan import OpenedPlan
from school.models import Student
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT, page_sizes_of, typeset_words
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory

FOOTNOTE = "a sign that this paper has no letter for"
NAMING = ("day-plan", "flask-cards", "slips", "weigh-out")
EACH = pytest.mark.parametrize("paper", [one for one in PAPERS if one.key in NAMING], ids=lambda paper: paper.key)


@pytest.fixture
def named(plan_own):
    """Name the student whose own metal the plan pours, with a spelling for the papers."""
    student = StudentFactory(course=plan_own.day.course)
    for nth in (1, 2, 3):
        wax = handed_in(plan_own.day, student)
        Wax.objects.filter(pk=wax.pk).update(tag=f"B{nth}")

    def name(called, spelled):
        Student.objects.filter(pk=student.pk).update(called=called, spelled=spelled)
        return plan_own

    return name


@EACH
@pytest.mark.parametrize("called", ["山田 花子", "やまだ はなこ", "ヤマダ・ハナコ", "김하나", "José 花"])
def test_every_paper_that_names_people_prints_the_spelled_name(named, paper, called):
    html = paper.html(job_of(named(called, "Yamada Hanako")))
    assert "Yamada Hanako" in html and BOX not in html and called not in html
    assert FOOTNOTE not in html


@EACH
def test_a_spelled_name_can_be_read_on_the_paper_itself(named, paper):
    text = words_of(render(paper.html(job_of(named("山田 花子", "Yamada Hanako")))))
    assert "Yamada Hanako" in text and BOX not in text and FOOTNOTE not in text


@EACH
def test_without_a_spelling_boxes_and_the_footnote_are_printed(named, paper):
    html = paper.html(job_of(named("山田 花子", "")))
    assert f"{BOX}{BOX} {BOX}{BOX}" in html and FOOTNOTE in html


@EACH
@pytest.mark.parametrize("called", ["José Ñandú", "Łukasz Żak", "Ελένη Κρηνιώ", "עדה בן־חיים", "ليلى الحداد"])
def test_a_name_that_prints_stays_as_it_was_written(named, paper, called):
    html = paper.html(job_of(named(called, "Somebody Else")))
    assert called in html and "Somebody Else" not in html and FOOTNOTE not in html


@EACH
def test_emoji_keep_their_box_and_the_footnote(named, paper):
    html = paper.html(job_of(named("Ada 💍", "Ada")))
    assert f"Ada {BOX}" in html and FOOTNOTE in html


@EACH
def test_a_long_spelled_name_prints_as_a_long_name_does(named, paper):
    longest = ("Wolfeschlegelsteinhausen " * 4)[:80].strip()
    as_written = paper.html(job_of(named(longest, "")))
    assert longest[:23] in as_written
    assert paper.html(job_of(named("山田 花子", longest))) == as_written


@EACH
@pytest.mark.parametrize("called", ["W" * 80, "ш" * 80])
def test_a_name_of_one_long_word_stays_on_the_sheet(named, paper, called):
    for name in ((called, ""), ("山田 花子", called)):
        pdf = render(paper.html(job_of(named(*name))))
        for (width, _height), words in zip(page_sizes_of(pdf), typeset_words(pdf), strict=True):
            # Every sheet has a margin of more than 8 mm on each side.
            assert words and not [word for word in words if (width - word.x1) * MM_PER_POINT < 8]


def test_the_slips_go_by_the_printed_names(named):
    plan = named("山田 花子", "Abe Hanako")
    html = next(paper for paper in PAPERS if paper.key == "slips").html(job_of(plan))
    assert -1 < html.index("Abe Hanako") < html.index("student-A1")


def test_a_new_spelling_makes_the_prints_out_of_date_that_name_people(named):
    def parts(plan):
        return papers_of(plan.day, Plan.objects.get(pk=plan.pk)).parts

    before = parts(named("山田 花子", ""))
    spelled = parts(named("山田 花子", "Yamada Hanako"))
    assert {part for part in before if before[part] != spelled[part]} == {"names"}
    # A name that prints is on no paper as it is spelled.
    assert parts(named("Łukasz", "")) == parts(named("Łukasz", "Lukasz"))


def test_a_teachers_screen_shows_the_name_as_written_with_its_spelling(named, teacher_client, day):
    plan = named("山田 花子", "Yamada Hanako")
    assert "山田 花子 (Yamada Hanako)" in {flask.owner for flask in OpenedPlan(plan).sheet.flasks}
    assert "山田 花子 (Yamada Hanako)" in teacher_client.get(reverse("waxes", args=[day.pk])).content.decode()


def test_the_pages_that_papers_are_printed_from_spell_names_too(day, teacher, teacher_client):
    student = StudentFactory(course=day.course, called="山田 花子", spelled="Yamada Hanako")
    plan = make_plan(day, teacher) if handed_in(day, student) else None
    page = papers_of(day, plan).page(next(paper for paper in PAPERS if paper.key == "slips"))
    assert "Yamada Hanako" in page.html and FOOTNOTE not in page.html
    assert "山田" not in plan.plan_file + plan.day_file and "Yamada" not in plan.plan_file + plan.day_file


def test_a_name_under_a_cleared_caution_is_offered_as_papers_print_it(day, teacher, teacher_client):
    type(teacher).objects.filter(pk=teacher.pk).update(name="山田 花子", spelled="Yamada Hanako")
    SafetyRecord.objects.all().delete()
    handed_in(day)
    make_plan(day, teacher)
    body = teacher_client.get(reverse("flasks", args=[day.pk])).content.decode()
    assert 'value="Yamada Hanako"' in body and 'value="山田 花子"' not in body
