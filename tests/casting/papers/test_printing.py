"""Which papers are to be printed, why, and the ZIP of them."""

import io
import zipfile
from dataclasses import replace

import pytest
from django.utils import timezone

from casting.models import PaperPrinted
from casting.papers import printing
from casting.papers.pdf.render import NotRendered
from casting.papers.printing import file_name, papers_of, together_name, zip_of
from casting.papers.registry import PAPERS
from casting.services.prints import mark_printed

BY_KEY = {paper.key: paper for paper in PAPERS}


def status(papers, key):
    return next(one for one in papers.statuses() if one.paper.key == key)


def test_a_paper_never_printed_is_to_be_printed(day, plan_24):
    mix = status(papers_of(day, plan_24), "mix")
    assert (mix.printed, mix.why, mix.to_print) == (None, (), True)


def test_printed_it_is_current_until_one_of_its_parts_changes(day, teacher, plan_24):
    papers = papers_of(day, plan_24, now=timezone.now())
    mark_printed(day, [papers.page(BY_KEY["mix"])], teacher)
    assert not status(papers_of(day, plan_24), "mix").to_print
    row = PaperPrinted.objects.get()
    PaperPrinted.objects.update(parts=row.parts | {"invested": "another"})
    assert status(papers_of(day, plan_24), "mix").why == ("flasks were invested since",)


def test_before_the_plan_there_are_the_papers_of_the_day_and_none_is_held_back(day):
    papers = papers_of(day, None)
    assert {one.paper.key for one in papers.statuses()} == {"poster", "handout", "handout-es", "teacher-safety"}
    assert (papers.plan, papers.stops) == (None, ())


def test_files_are_called_by_paper_day_and_revision_or_edition(day, plan_1):
    papers, date = papers_of(day, plan_1), f"{day.pour_local():%Y-%m-%d}"
    assert file_name(papers.page(BY_KEY["mix"]), day) == f"mix-{date}-revision-3.pdf"
    assert file_name(papers.page(BY_KEY["poster"]), day) == f"poster-{date}-edition-1.pdf"
    assert together_name(papers, "all") == f"papers-all-{date}-revision-3.zip"
    assert together_name(papers_of(day, None), "all") == f"papers-all-{date}-before-the-plan.zip"


def test_a_paper_that_failed_is_named_in_the_zip_and_not_counted_as_printed(day, plan_1, monkeypatch):
    monkeypatch.setattr(printing, "render_many", lambda pages: [b"%PDF-" for _page in pages])
    papers = papers_of(day, plan_1)
    whole = papers.page(BY_KEY["mix"])
    broken = replace(papers.page(BY_KEY["slips"]), html=None, failed=True)
    packed, inside = zip_of(papers, [whole, broken])
    names = zipfile.ZipFile(io.BytesIO(packed)).namelist()
    assert inside == [whole]
    assert sorted(names) == sorted([file_name(whole, day), f"NOT-MADE-{file_name(broken, day, 'txt')}"])


def test_a_page_that_failed_has_no_pdf(day, plan_1):
    broken = replace(papers_of(day, plan_1).page(BY_KEY["mix"]), html=None, failed=True)
    with pytest.raises(NotRendered, match="The page of mix failed"):
        printing.pdf_of(broken)
