"""All papers of a day as one PDF."""

import io

import pikepdf
import pytest
from django.urls import reverse

from casting.models import PaperPrinted
from casting.papers import printing
from casting.papers.pdf.render import PangoMissing, render
from casting.papers.printing import papers_of
from casting.papers.registry import PAPERS
from tests.casting.conftest import STILL
from tests.casting.papers.reading_back import pages_of
from tests.casting.views.test_flasks import store
from tests.casting.views.test_papers import NOBODY_ELSE, broken_mix, held, page, words_of
from tests.days.written_plans import plan_of_one

__all__ = ["broken_mix", "held", "page"]

pytestmark = pytest.mark.usefixtures("still")

ORDER = [
    "poster",
    "handout",
    "handout-es",
    "teacher-safety",
    "supplement",
    "supplement-es",
    "day-plan",
    "flask-cards",
    "mix",
    "kiln-room",
    "weigh-out",
    "weigh-back",
    "slips",
]


@pytest.fixture
def in_one(day):
    return reverse("papers_in_one", args=[day.pk])


def bookmarks(answer):
    """The papers in the PDF, each with the number of its first side."""
    with pikepdf.open(io.BytesIO(answer.content)) as pdf, pdf.open_outline() as outline:
        numbers = {page.obj.objgen: nth for nth, page in enumerate(pdf.pages, 1)}
        return [(item.title, numbers[item.destination[0].objgen]) for item in outline.root]


def test_one_pdf_holds_every_paper_in_the_order_of_use_each_on_a_front(day, teacher, teacher_client, in_one):
    plan = store(day, teacher, plan_of_one())
    answer = teacher_client.post(in_one)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    name = f"papers-all-{day.pour_local():%Y-%m-%d}-revision-1.pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{name}"'
    papers = papers_of(day, plan, "http://testserver", STILL)
    by_key = {paper.key: paper for paper in PAPERS}
    # A paper takes whole sheets: its sides and a blank one if they are odd, or a blank back for each.
    expected, side = [], 1
    for key in ORDER:
        expected.append((str(by_key[key].title), side))
        many = len(pages_of(render(papers.page(by_key[key]).html)))
        side += many * 2 if key in ("flask-cards", "slips") else many + many % 2
    assert bookmarks(answer) == expected
    assert len(pages_of(answer.content)) == side - 1
    assert all(first % 2 for _title, first in expected)


def test_it_notes_every_print_and_gives_the_same_bytes_again(day, teacher, teacher_client, in_one):
    store(day, teacher, plan_of_one())
    first = teacher_client.post(in_one)
    assert sorted(PaperPrinted.objects.values_list("key", "by")) == sorted((key, teacher.pk) for key in ORDER)
    assert teacher_client.post(in_one).content == first.content


@pytest.mark.child
def test_children_with_limits_make_the_papers_of_the_day_before_any_plan(day, teacher_client, in_one):
    answer = teacher_client.post(in_one)
    assert [title for title, _side in bookmarks(answer)] == [
        str(paper.title) for paper in PAPERS if paper.key in ORDER[:4]
    ]
    assert "before-the-plan.pdf" in answer["Content-Disposition"]


def test_what_is_held_back_is_not_printed_and_says_why(held, teacher_client, in_one, page):
    answer = teacher_client.post(in_one)
    assert answer.status_code == 409 and "STOP Do not melt this metal." in words_of(answer)
    assert "as one PDF" not in words_of(teacher_client.get(page))
    assert not PaperPrinted.objects.exists()


def test_a_paper_that_fails_has_a_sheet_that_says_so_and_is_not_noted(day, teacher, teacher_client, in_one, broken_mix):
    store(day, teacher, plan_of_one())
    answer = teacher_client.post(in_one)
    sides = dict(bookmarks(answer))
    assert "Mix sheet could not be made." in pages_of(answer.content)[sides["Mix sheet"] - 1]
    assert set(PaperPrinted.objects.values_list("key", flat=True)) == set(ORDER) - {"mix"}


def test_where_no_paper_can_be_made_a_sentence_says_what_mends_it(day, teacher, teacher_client, in_one, monkeypatch):
    store(day, teacher, plan_of_one())
    monkeypatch.setattr(printing, "render_many", lambda pages: [PangoMissing("no libpango") for _page in pages])
    answer = teacher_client.post(in_one)
    assert answer.status_code == 503 and "Pango is missing" in answer.content.decode()
    assert not PaperPrinted.objects.exists()


def test_the_page_offers_it_and_says_at_the_press_that_it_is_being_made(day, teacher, teacher_client, page, in_one):
    store(day, teacher, plan_of_one())
    shown = teacher_client.get(page).content.decode()
    assert f'action="{in_one}" data-making="making"' in shown and "Print all as one PDF" in shown
    assert 'id="making" hidden data-said="Making 13 papers.' in shown and "js/making.js" in shown


def test_looking_prints_nothing(day, teacher, teacher_client, in_one, page):
    store(day, teacher, plan_of_one())
    assert teacher_client.get(in_one).url == page
    assert not PaperPrinted.objects.exists()


@NOBODY_ELSE
def test_nobody_else_gets_it(day, teacher, in_one, who, request):
    store(day, teacher, plan_of_one())
    answer = request.getfixturevalue(who).post(in_one)
    assert answer.status_code == 302 and "next=" in answer["Location"]
    assert not PaperPrinted.objects.exists()


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, in_one):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.post(in_one).status_code == 404
    assert not PaperPrinted.objects.exists()
