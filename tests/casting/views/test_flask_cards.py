"""The page that chooses the sheets of the flask cards, and its PDF."""

import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.models import PaperPrinted, Plan
from casting.papers import printing
from casting.papers.sheets.label_stock import PAGE_LEFT_MM, PAGE_TOP_MM, stock_of
from tests.casting.views.test_flasks import store
from tests.days.written_plans import CAUTION, plan_of_24, plan_of_none, plan_of_one

STOCK = "a4-1x3-apart"


@pytest.fixture
def page(day):
    return reverse("flask_cards", args=[day.pk])


@pytest.fixture
def pdf(day):
    return reverse("flask_cards_pdf", args=[day.pk])


@pytest.fixture
def quick(monkeypatch):
    """A PDF is its page."""
    monkeypatch.setattr(printing, "render_apart", lambda html: b"%PDF-" + html.encode())


def words_of(answer):
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.content.decode())))


def pictures_of(answer):
    """Each picture as its title and the upper left corners of its places."""
    drawn = re.findall(r'<svg[^>]*class="drawing sheet".*?</svg>', answer.content.decode(), re.DOTALL)
    return [
        (
            re.search("<title>(.*?)</title>", one)[1],
            [(float(x), float(y)) for x, y in re.findall(r'<rect x="([-\d.]+)" y="([-\d.]+)"[^>]*class="place"', one)],
        )
        for one in drawn
    ]


def test_a_teacher_sees_plain_paper_first_and_only_sheets_of_the_schools_paper(day, teacher, teacher_client, page):
    store(day, teacher, plan_of_one())
    answer = teacher_client.get(page)
    assert answer.status_code == 200
    assert [title for title, _places in pictures_of(answer)] == ["A4, 1 x 3 cards: A on place 1"]
    assert 'value="a4-2x4-apart"' in answer.content.decode() and "letter-" not in answer.content.decode()


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, page, pdf):
    store(day, teacher, plan_of_one())
    assert [other_teacher_client.get(address).status_code for address in (page, pdf)] == [404, 404]
    assert other_teacher_client.post(pdf).status_code == 404


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])
def test_nobody_else_sees_it(day, teacher, page, pdf, who, request):
    store(day, teacher, plan_of_one())
    client = request.getfixturevalue(who)
    for answer in (client.get(page), client.get(pdf), client.post(pdf)):
        assert answer.status_code == 302 and "next=" in answer["Location"]


def test_without_a_flask_there_is_no_such_page(day, teacher, teacher_client, page, pdf):
    assert teacher_client.get(page).status_code == 404
    store(day, teacher, plan_of_none())
    assert [teacher_client.get(address).status_code for address in (page, pdf)] == [404, 404]


def test_a_plan_that_is_held_back_has_no_cards(day, teacher, teacher_client, page, pdf):
    plan, day_file = plan_of_one()
    stop = CAUTION | {"level": "STOP", "when": "plan", "text": "Do not melt this metal."}
    store(day, teacher, (plan | {"cautions": [stop]}, day_file))
    for answer in (teacher_client.get(page), teacher_client.get(pdf), teacher_client.post(pdf)):
        assert answer.status_code == 409 and "Do not melt this metal." in words_of(answer)


def test_the_picture_and_the_pdf_take_the_same_places(day, teacher, teacher_client, page, pdf, quick):
    store(day, teacher, plan_of_24())
    query = {"stock": STOCK, "used": "2", "x": "0,5", "y": "\N{MINUS SIGN}1.2"}
    answer = teacher_client.get(page, query)
    pictures = pictures_of(answer)
    # Eight flasks, the first on the last of three places: 1 + 3 + 3 + 1.
    assert [title.count("on place") for title, _ in pictures] == [1, 3, 3, 1]
    assert pictures[0][0].endswith("2 places used, A on place 3")
    corners = [stock_of(STOCK).corner(place) for place in range(3)]
    assert pictures[0][1] == [(left + 0.5, pytest.approx(top - 1.2)) for left, top in corners]
    link = re.search(r'href="([^"]*\.pdf[^"]*)"', answer.content.decode())[1].replace("&amp;", "&")
    assert link == f"{pdf}?stock={STOCK}&used=2&x=0.5&y=-1.2"
    sheet = teacher_client.get(link).content.decode()
    placed = [
        (float(x) + PAGE_LEFT_MM, pytest.approx(float(y) + PAGE_TOP_MM))
        for x, y in re.findall(r"\.place-\d \{ left: (\S+)mm; top: (\S+)mm", sheet)
    ]
    assert pictures[0][1] == placed
    assert re.findall(r'class="card place-(\d)', sheet) == list("20120120")


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ({"stock": "letter-1x3-apart"}, "There is no such sheet for the school's paper."),
        ({"used": "3"}, "3 labels cannot be used already: this sheet has 3. Write 0 to 2."),
        ({"used": "-1"}, "-1 labels cannot be used already"),
        ({"used": "two"}, "That is not a whole number of labels."),
        ({"x": "5.1"}, "5.1 mm is too far: 5 mm is the most."),
        ({"x": "-5,1"}, "-5.1 mm is too far: 5 mm is the most."),
        ({"x": "0.25"}, "“0.25” is finer than a printer can do."),
        ({"x": "--1"}, "“--1” is not a number of millimetres."),
        ({"y": "left"}, "“left” is not a number of millimetres."),
        # Two columns of four: 3.5 mm of room above the first row.
        ({"stock": "a4-2x4-apart", "y": "-3.6"}, "On this sheet there is room for -3.5 to 5 mm."),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_prints_nothing(
    day, teacher, teacher_client, page, pdf, query, sentence
):
    store(day, teacher, plan_of_one())
    query = {"stock": STOCK} | query
    answer = teacher_client.get(page, query)
    assert sentence in words_of(answer) and not pictures_of(answer)
    refused = teacher_client.get(pdf, query)
    assert refused.status_code == 400 and sentence in words_of(refused)
    # A choice that cannot be is not kept.
    assert pictures_of(teacher_client.get(page))[0][0].startswith("A4, 1 x 3 cards:")


def test_the_last_good_choice_is_kept_and_plain_paper_forgets_nudge_and_used(day, teacher, teacher_client, page):
    store(day, teacher, plan_of_one())
    teacher_client.get(page, {"stock": STOCK, "used": "1", "x": "0.5", "y": ""})
    kept = teacher_client.get(page)
    assert pictures_of(kept)[0][0].endswith("1 place used, A on place 2")
    assert re.search(r'name="x"[^>]*value="0\.5"', kept.content.decode())
    plain = teacher_client.get(page, {"stock": "", "used": "1", "x": "4"})
    assert pictures_of(plain)[0][0] == "A4, 1 x 3 cards: A on place 1"
    # The school changes its paper: what was kept is no sheet of it any more.
    teacher_client.get(page, {"stock": STOCK})
    day.course.school.paper = "Letter"
    day.course.school.save()
    assert pictures_of(teacher_client.get(page))[0][0] == "Letter, 1 x 3 cards: A on place 1"


def test_printing_notes_the_cards_but_labels_without_views_do_not_replace_them(
    day, teacher, teacher_client, pdf, quick
):
    store(day, teacher, plan_of_one())
    teacher_client.get(pdf)
    assert teacher_client.post(f"{pdf}?stock=a4-2x4-apart").status_code == 200
    assert not PaperPrinted.objects.exists()
    answer = teacher_client.post(f"{pdf}?stock={STOCK}")
    assert answer["Content-Disposition"] == f'inline; filename="flask-cards-{day.pour_local():%Y-%m-%d}-revision-1.pdf"'
    assert [(row.key, row.by) for row in PaperPrinted.objects.all()] == [("flask-cards", teacher)]


def test_the_papers_page_leads_here(day, teacher, teacher_client, page):
    store(day, teacher, plan_of_one())
    assert f'href="{page}"' in teacher_client.get(reverse("papers", args=[day.pk])).content.decode()


def test_many_flasks_ask_the_database_no_more_than_one(day, teacher, teacher_client, page):
    counts = []
    for files in (plan_of_one(), plan_of_24()):
        Plan.objects.all().delete()
        store(day, teacher, files)
        teacher_client.get(page)
        with CaptureQueriesContext(connection) as asked:
            teacher_client.get(page)
        counts.append(len(asked))
    assert counts[0] == counts[1]
