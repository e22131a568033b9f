"""The papers page and the addresses of the papers."""

import io
import re
import zipfile
from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from casting.models import Alloy, Investment, PaperPrinted, Plan
from casting.papers import printing
from casting.papers.pdf.render import NotRendered, PangoMissing
from casting.papers.registry import PAPERS, Paper
from tests.casting.papers.printed import job_of
from tests.casting.planned import make_plan
from tests.casting.views.test_flasks import store
from tests.casting_factories import handed_in
from tests.days.written_plans import CAUTION, plan_of_none, plan_of_one

pytestmark = pytest.mark.usefixtures("still")
NOBODY_ELSE = pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])


@pytest.fixture
def page(day):
    return reverse("papers", args=[day.pk])


@pytest.fixture
def pdf(day):
    return reverse("paper_pdf", args=[day.pk, "mix"])


@pytest.fixture
def everything(day):
    return reverse("papers_zip", args=[day.pk, "all"])


@pytest.fixture
def quick(monkeypatch):
    """A PDF is its page: what is tried here is which papers are printed, not how they look."""
    monkeypatch.setattr(printing, "render_apart", lambda html: b"%PDF-" + html.encode())
    monkeypatch.setattr(printing, "render_many", lambda pages: [b"%PDF-" + html.encode() for html in pages])


def words_of(answer):
    """The page's words with its white space as single spaces."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.content.decode()))


def row_of(answer, title):
    """The words of one paper's row."""
    rows = re.findall(r"<tr>.*?</tr>", answer.content.decode(), re.DOTALL)
    found = next(
        row for row in rows if re.search(rf'<th scope="row">(<a [^>]*>)?{re.escape(escape(str(title)))}<', row)
    )
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", found))


def names_in(answer):
    return zipfile.ZipFile(io.BytesIO(answer.content)).namelist()


def test_a_teacher_sees_every_paper(day, teacher, teacher_client, page):
    store(day, teacher, plan_of_one())
    answer = teacher_client.get(page)
    assert answer.status_code == 200
    for paper in PAPERS:
        if paper.html(job_of(Plan.objects.latest_of(day))) is not None:
            assert "not yet" in row_of(answer, paper.title)
            assert reverse("paper_pdf", args=[day.pk, paper.key]) in answer.content.decode()
    assert 'aria-current="page">Papers</a>' in answer.content.decode()


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, page, pdf, everything):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.get(page).status_code == 404
    assert other_teacher_client.get(pdf).status_code == 404
    assert other_teacher_client.post(pdf).status_code == 404
    assert other_teacher_client.post(everything).status_code == 404
    assert not PaperPrinted.objects.exists()


@NOBODY_ELSE
def test_nobody_else_gets_anything(day, teacher, page, pdf, everything, who, request):
    store(day, teacher, plan_of_one())
    client = request.getfixturevalue(who)
    for answer in (client.get(page), client.get(pdf), client.post(pdf), client.post(everything)):
        assert answer.status_code == 302 and "next=" in answer["Location"]
    assert not PaperPrinted.objects.exists()


BEFORE = ["poster", "handout", "handout-es", "teacher-safety"]


def test_without_a_plan_the_papers_of_the_day_are_there_and_the_others_are_announced(
    day, teacher_client, page, pdf, quick
):
    answer = teacher_client.get(page)
    assert "There is no plan yet. These papers need none" in words_of(answer)
    later = words_of(answer).partition("Once the plan is made")[2]
    for paper in PAPERS:
        if paper.key in BEFORE:
            assert "not yet" in row_of(answer, paper.title)
            printed = teacher_client.post(reverse("paper_pdf", args=[day.pk, paper.key]))
            assert printed.status_code == 200 and b"Revision" not in printed.content
            assert f"{paper.key}-{day.pour_local():%Y-%m-%d}-edition-1.pdf" in printed["Content-Disposition"]
        else:
            assert str(paper.title) in later
    assert teacher_client.get(pdf).status_code == 404
    assert [row.revision for row in PaperPrinted.objects.all()] == [None] * 4
    assert "edition 1," in row_of(teacher_client.get(page), "Safety handout")


def test_print_all_before_the_plan_is_a_zip_of_the_days_own_papers(day, teacher_client, everything, quick):
    answer = teacher_client.post(everything)
    date = f"{day.pour_local():%Y-%m-%d}"
    assert names_in(answer) == [f"{key}-{date}-edition-1.pdf" for key in BEFORE]
    assert f"papers-all-{date}-before-the-plan.zip" in answer["Content-Disposition"]


def test_a_plan_leaves_the_handout_current_and_replaces_the_teachers_sheet(
    day, teacher, teacher_client, page, everything, quick
):
    teacher_client.post(everything)
    planned(day, teacher)
    answer = teacher_client.get(page)
    for title in ("Hand-in poster of the day", "Safety handout", "Safety handout in Spanish"):
        assert "current" in row_of(answer, title)
    assert "Out of date: a plan has been made" in row_of(answer, "Teacher's safety sheet")
    sheet = teacher_client.post(reverse("paper_pdf", args=[day.pk, "teacher-safety"])).content.decode()
    assert "Replaces edition 1, printed" in sheet and "Revision 1, made" in sheet
    assert "current" in row_of(teacher_client.get(page), "Teacher's safety sheet")


def test_another_metal_makes_the_handout_a_later_edition_that_says_which_it_replaces(day, teacher_client, page, quick):
    handout = reverse("paper_pdf", args=[day.pk, "handout"])
    teacher_client.post(handout)
    day.alloys.add(Alloy.objects.get(school=day.course.school, key="brass"))
    assert "Out of date: the metals offered or the equipment" in row_of(teacher_client.get(page), "Safety handout")
    # Whether it is printed once or again: the same edition in the same bytes.
    second, again = teacher_client.post(handout), teacher_client.post(handout)
    assert "Edition 2" in second.content.decode() and "Replaces edition 1, printed" in second.content.decode()
    assert second.content == again.content and "-edition-2.pdf" in again["Content-Disposition"]
    assert "edition 2," in row_of(teacher_client.get(page), "Safety handout")


def test_without_a_powder_the_handout_says_what_is_missing(day, teacher_client, page):
    Investment.objects.all().delete()
    assert teacher_client.get(page).status_code == 200
    answer = teacher_client.get(reverse("paper_pdf", args=[day.pk, "handout"]))
    assert answer.status_code == 503 and "The school has no investment powder." in words_of(answer)


def test_a_print_from_before_parts_were_noted_is_out_of_date(day, teacher, teacher_client, page):
    store(day, teacher, plan_of_one())
    PaperPrinted.objects.create(day=day, key="mix", revision=1)
    assert "Out of date: it was printed before its contents" in row_of(teacher_client.get(page), "Mix sheet")


def test_a_teacher_gets_the_pdf_of_the_last_revision(day, teacher, teacher_client, pdf):
    store(day, teacher, plan_of_one())
    store(day, teacher, plan_of_one(), revision=2)
    answer = teacher_client.get(pdf)
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    name = f"mix-{day.pour_local():%Y-%m-%d}-revision-2.pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{name}"'


def test_a_plan_older_than_its_waxes_is_made_again_before_it_is_printed(day, student, teacher, teacher_client, page):
    handed_in(day, student)
    make_plan(day, by=teacher)
    said = "Something has changed since revision 1 of the plan was made. Make it again"
    assert said not in words_of(teacher_client.get(page))
    handed_in(day, student)
    assert said in words_of(teacher_client.get(page))


def test_the_day_plan_keeps_its_older_address(day, teacher, teacher_client, quick):
    store(day, teacher, plan_of_one())
    older = teacher_client.get(reverse("day_plan_pdf", args=[day.pk]))
    assert older.status_code == 200
    assert older.content == teacher_client.get(reverse("paper_pdf", args=[day.pk, "day-plan"])).content


def test_a_paper_that_nobody_knows_or_needs_is_not_found(day, teacher, teacher_client, pdf):
    store(day, teacher, plan_of_none())
    assert teacher_client.get(reverse("paper_pdf", args=[day.pk, "treasure-map"])).status_code == 404
    assert teacher_client.get(pdf).status_code == 404
    assert teacher_client.post(reverse("papers_zip", args=[day.pk, "some"])).status_code == 404


def test_looking_notes_nothing_and_printing_notes_who_and_when(day, teacher, teacher_client, page, pdf, quick):
    store(day, teacher, plan_of_one(), revision=4)
    teacher_client.get(page)
    teacher_client.get(pdf)
    assert not PaperPrinted.objects.exists()
    answer = teacher_client.post(pdf)
    assert answer.status_code == 200 and answer.content.startswith(b"%PDF-")
    printed = PaperPrinted.objects.get()
    assert (printed.day, printed.key, printed.revision, printed.by) == (day, "mix", 4, teacher)
    row = row_of(teacher_client.get(page), "Mix sheet")
    assert "revision 4," in row and teacher.name in row and " current " in row


def test_the_zip_is_not_to_be_had_by_looking(day, teacher, teacher_client, everything):
    store(day, teacher, plan_of_one())
    assert teacher_client.get(everything).url == reverse("papers", args=[day.pk])
    assert not PaperPrinted.objects.exists()


def test_print_all_is_one_zip_of_every_paper_dated_by_the_plan(day, teacher, teacher_client, everything, quick):
    plan = store(day, teacher, plan_of_one())
    answer = teacher_client.post(everything)
    assert answer["Content-Type"] == "application/zip"
    needed = [paper for paper in PAPERS if paper.html(job_of(plan)) is not None]
    date = f"{day.pour_local():%Y-%m-%d}"
    assert names_in(answer) == [
        f"{paper.key}-{date}-{'revision' if paper.of_plan else 'edition'}-1.pdf" for paper in needed
    ]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert archive.testzip() is None
        made = plan.made_at
        # A ZIP keeps even seconds only.
        dated = (made.year, made.month, made.day, made.hour, made.minute, made.second // 2 * 2)
        assert {entry.date_time for entry in archive.infolist()} == {dated}
    assert PaperPrinted.objects.count() == len(needed)


def test_the_same_plan_gives_the_same_zip(day, teacher, teacher_client, everything):
    store(day, teacher, plan_of_one())
    assert teacher_client.post(everything).content == teacher_client.post(everything).content


def test_a_later_revision_is_why_a_print_is_out_of_date(day, teacher, teacher_client, page, pdf, quick):
    store(day, teacher, plan_of_one())
    teacher_client.post(pdf)
    store(day, teacher, plan_of_one(), revision=2)
    row = row_of(teacher_client.get(page), "Mix sheet")
    assert "revision 1," in row and "Out of date: there is a newer plan" in row


def planned(day, teacher):
    """A plan of the day's own waxes, so that it is not outdated."""
    wax = handed_in(day)
    make_plan(day, by=teacher)
    return wax


def test_changed_waxes_are_why_a_print_is_out_of_date(day, teacher, teacher_client, page, pdf, quick):
    planned(day, teacher)
    teacher_client.post(pdf)
    handed_in(day)
    assert "Out of date: waxes have changed" in row_of(teacher_client.get(page), "Mix sheet")
    # A print that says so itself is as good as a print can be.
    teacher_client.post(pdf)
    assert "Out of date" not in row_of(teacher_client.get(page), "Mix sheet")


def test_changed_names_are_why_only_the_papers_that_name_them_are_out_of_date(
    day, teacher, teacher_client, page, everything, quick
):
    wax = planned(day, teacher)
    teacher_client.post(everything)
    type(wax.student).objects.filter(pk=wax.student_id).update(called="Wilhelmina Oster")
    answer = teacher_client.get(page)
    assert "Out of date: names have changed" in row_of(answer, "Student slips")
    assert "Out of date" not in row_of(answer, "Mix sheet")
    changed = teacher_client.post(reverse("papers_zip", args=[day.pk, "changed"]))
    assert any(name.startswith("slips-") for name in names_in(changed))
    assert not any(name.startswith("mix-") for name in names_in(changed))


def test_when_nothing_has_changed_there_is_nothing_to_print(day, teacher, teacher_client, page, everything, quick):
    store(day, teacher, plan_of_one())
    teacher_client.post(everything)
    assert "Print what changed" not in words_of(teacher_client.get(page))
    answer = teacher_client.post(reverse("papers_zip", args=[day.pk, "changed"]), follow=True)
    assert "Nothing has changed since it was printed." in words_of(answer)


@pytest.fixture
def broken_mix(monkeypatch):
    """The mix sheet bursts; the others are as they are."""

    def burst(plan):
        raise ZeroDivisionError("it burst at line 7")

    mended = tuple(replace(paper, of_plan=burst) if paper.key == "mix" else paper for paper in PAPERS)
    monkeypatch.setattr(printing, "PAPERS", mended)
    monkeypatch.setattr("casting.views.papers.PAPERS", mended)


def test_a_paper_that_fails_says_so_in_its_place_and_costs_no_other(
    day, teacher, teacher_client, page, pdf, everything, broken_mix, quick, caplog
):
    store(day, teacher, plan_of_one())
    assert teacher_client.get(page).status_code == 200
    answer = teacher_client.get(pdf)
    assert answer.status_code == 503 and "burst" not in answer.content.decode()
    assert "it burst at line 7" in caplog.text
    packed = teacher_client.post(everything)
    date = f"{day.pour_local():%Y-%m-%d}"
    assert f"NOT-MADE-mix-{date}-revision-1.txt" in names_in(packed)
    assert f"weigh-out-{date}-revision-1.pdf" in names_in(packed)
    with zipfile.ZipFile(io.BytesIO(packed.content)) as archive:
        assert archive.read(f"NOT-MADE-mix-{date}-revision-1.txt").startswith(b"Mix sheet could not be made.")
    keys = set(PaperPrinted.objects.values_list("key", flat=True))
    assert "mix" not in keys and "weigh-out" in keys


def failing_with(error):
    def fail(html):
        raise error

    return fail


def test_a_machine_without_pango_says_what_mends_it(day, teacher, teacher_client, pdf, monkeypatch):
    store(day, teacher, plan_of_one())
    monkeypatch.setattr(printing, "render_apart", failing_with(PangoMissing("no libpango")))
    answer = teacher_client.post(pdf)
    assert answer.status_code == 503
    assert "Pango is missing" in answer.content.decode() and "apt-get install" in answer.content.decode()
    assert not PaperPrinted.objects.exists()


def test_a_pdf_that_fails_keeps_the_cause_to_the_log(day, teacher, teacher_client, pdf, monkeypatch, caplog):
    store(day, teacher, plan_of_one())
    monkeypatch.setattr(printing, "render_apart", failing_with(NotRendered("it burst at line 7")))
    answer = teacher_client.get(pdf)
    assert answer.status_code == 503
    assert "could not be made" in answer.content.decode() and "burst" not in answer.content.decode()
    assert "it burst at line 7" in caplog.text


@pytest.fixture
def held(day, teacher):
    """A plan with a STOP that is asked before the day."""
    plan, day_file = plan_of_one()
    stop = CAUTION | {"level": "STOP", "when": "plan", "text": "Do not melt this metal."}
    return store(day, teacher, (plan | {"cautions": [stop]}, day_file))


def test_a_plan_that_is_held_back_prints_nothing_and_says_why(held, day, teacher_client, page, pdf, everything, quick):
    for answer in (teacher_client.get(pdf), teacher_client.post(pdf), teacher_client.post(everything)):
        assert answer.status_code == 409 and "STOP Do not melt this metal." in words_of(answer)
    assert not PaperPrinted.objects.exists()
    answer = teacher_client.get(page)
    assert "STOP Do not melt this metal." in words_of(answer) and "Print all" not in words_of(answer)
    assert "stopped" in row_of(answer, "Mix sheet") and pdf not in answer.content.decode()


def test_the_poster_hangs_though_the_plan_is_held_back(held, day, teacher_client, page, quick):
    poster = reverse("paper_pdf", args=[day.pk, "poster"])
    assert poster in teacher_client.get(page).content.decode()
    assert teacher_client.post(poster).content.startswith(b"%PDF-")


def test_a_gate_of_the_day_holds_no_paper_back(day, teacher, teacher_client, pdf, quick):
    plan, day_file = plan_of_one()
    stop = CAUTION | {"level": "STOP", "when": "pour"}
    store(day, teacher, (plan | {"cautions": [stop]}, day_file))
    assert teacher_client.get(pdf).status_code == 200


def queries_of(client, page):
    with CaptureQueriesContext(connection) as asked:
        assert client.get(page).status_code == 200
    return len(asked)


def test_the_page_asks_the_database_no_more_for_more_waxes_or_prints(
    day, teacher, teacher_client, page, everything, quick
):
    handed_in(day)
    make_plan(day, by=teacher)
    teacher_client.post(everything)
    make_plan(day, by=teacher)
    few = queries_of(teacher_client, page)
    teacher_client.post(everything)
    for _wax in range(10):
        handed_in(day)
    make_plan(day, by=teacher)
    assert queries_of(teacher_client, page) == few <= 33


def test_the_page_sets_no_paper(day, teacher, teacher_client, page, monkeypatch):
    store(day, teacher, plan_of_one())

    def never(*_args):
        raise AssertionError("a paper was set")

    monkeypatch.setattr(Paper, "html", never)
    assert teacher_client.get(page).status_code == 200
