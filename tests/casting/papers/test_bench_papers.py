"""All bench papers alike: typed text, names of any length, the school's paper, days without a wax."""

import re

import pypdfium2
import pytest

from casting.papers.pdf.render import render
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.poster import poster_html
from casting.papers.sheets.slips import slips_html
from casting.papers.sheets.weigh_out import weigh_out_html
from casting.presenters.plan_sheet import WaxName
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import MM_PER_POINT, page_sizes_of, typeset_words
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.casting.papers.sheets.two_owners import called

HOSTILE = ["<script>alert(1)</script>", "{{ settings.SECRET_KEY }}", "{% include 'x' %}", "file:///etc/hostname"]


ALL = [weigh_out_html, mix_html, slips_html, poster_html]


def test_what_people_type_is_printed_as_text(plan_own):
    for tag, what in zip(("A1", "A2", "A3", "C1"), HOSTILE, strict=True):
        called(plan_own, tag, what, what=what)
    slips = words_of(render(slips_html(job_of(plan_own))))
    assert all(slips.count(what) >= 2 for what in HOSTILE)


@pytest.mark.parametrize("what", HOSTILE)
def test_what_people_type_is_printed_as_text_beside_metal_and_on_the_door(plan_own, what):
    called(plan_own, "B1", what)
    course = plan_own.day.course
    course.name = what
    assert f"Own metal of {what}" in words_of(render(weigh_out_html(job_of(plan_own))))
    assert what in words_of(render(poster_html(job_of(plan_own.day))))


def test_names_that_no_slip_was_made_for_break_no_sheet(plan_own, monkeypatch):
    names = {"A1": "M" * 10_000, "A2": "مريم الحداد", "A3": "\U0001f48d ring", "C1": "a\u202eb"}
    called = {tag: WaxName(tag, name, name) for tag, name in names.items()}
    monkeypatch.setattr("casting.presenters.opened_plan.names_of", lambda day, on_paper: called)
    pages = pypdfium2.PdfDocument(render(slips_html(job_of(plan_own))))
    # Seven students; ten thousand capitals need sheets of their own, twice.
    assert 1 <= len(pages) <= 20
    last = re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in pages))
    assert "student-C3" in last and "119.5" not in last


@pytest.mark.anew
@pytest.mark.parametrize("html", ALL)
@pytest.mark.parametrize(("paper", "width_mm"), [("A4", 210), ("Letter", 215.9)])
def test_the_sheet_is_the_schools_and_the_same_bytes_twice(plan_own, html, paper, width_mm):
    school = plan_own.day.course.school
    school.paper, school.weight_unit, school.temperature_unit = paper, "dwt", "F"
    pdf = render(html(job_of(plan_own)))
    assert pdf == render(html(job_of(plan_own)))
    assert pypdfium2.PdfDocument(pdf)[0].get_size()[0] * 25.4 / 72 == pytest.approx(width_mm, abs=0.2)
    if html in {weigh_out_html, slips_html}:
        assert "dwt" in words_of(pdf)


@pytest.mark.parametrize("html", ALL)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_word_runs_over_the_edge_of_the_sheet(plan_own, html, paper):
    school = plan_own.day.course.school
    school.paper, school.weight_unit = paper, "ozt"
    called(plan_own, "A1", "Wolfeschlegelsteinhausen-Bergerdorff " * 2, what="a very broad signet ring with a crest")
    pdf = render(html(job_of(plan_own)))
    for (width, _height), words in zip(page_sizes_of(pdf), typeset_words(pdf), strict=True):
        for word in words:
            # The margin at both sides is 11 mm; a hundredth of it for rounding.
            assert word.x0 * MM_PER_POINT >= 10.9, word.text
            assert (width - word.x1) * MM_PER_POINT >= 10.9, word.text


@pytest.mark.parametrize("html", [weigh_out_html, mix_html, slips_html])
def test_a_day_without_a_wax_needs_no_such_paper(plan_0, html):
    assert html(job_of(plan_0)) is None


@pytest.mark.parametrize("html", ALL)
def test_nothing_on_them_promises_safety(plan_own, html):
    page = html(job_of(plan_own)).lower().replace("safety data sheets", "").replace("from the safe", "")
    assert not re.search(r"\b(safe|safely|approved|complies|guarantee)", page)
