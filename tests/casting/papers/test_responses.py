"""Responses to a request for a paper."""

from dataclasses import replace

import pytest
from django.test import RequestFactory

from casting.models import PaperPrinted
from casting.papers import printing
from casting.papers.pdf.render import NotRendered, PangoMissing
from casting.papers.registry import PAPERS
from casting.papers.responses import answer_file, answer_held_back, answer_pdf, papers_for


@pytest.fixture
def asked(teacher):
    """A request of the teacher's, by GET or POST."""

    def ask(method):
        request = RequestFactory().generic(method, "/", headers={"host": "bench.example.org"}, secure=True)
        request.person = request.user = teacher
        return request

    return ask


@pytest.fixture(autouse=True)
def quick(monkeypatch, settings):
    settings.ALLOWED_HOSTS = ["bench.example.org"]
    monkeypatch.setattr(printing, "render_apart", lambda html: b"%PDF-quick")


def test_a_file_is_answered_under_its_name_and_never_guessed_at():
    answer = answer_file(b"%PDF-", "application/pdf", "attachment", "mix.pdf")
    assert answer["Content-Disposition"] == 'attachment; filename="mix.pdf"'
    assert (answer["Content-Type"], answer["X-Content-Type-Options"]) == ("application/pdf", "nosniff")


def test_papers_carry_the_address_that_was_asked_and_a_time_only_when_posted_for(asked, plan_1):
    looked, posted = (papers_for(asked(method), plan_1.day) for method in ("GET", "POST"))
    assert looked.origin == posted.origin == "https://bench.example.org"
    assert looked.now is None and posted.now is not None


@pytest.mark.parametrize(("method", "noted", "rows"), [("GET", True, 0), ("POST", True, 1), ("POST", False, 0)])
def test_only_what_was_posted_for_is_noted_as_printed(asked, plan_1, method, noted, rows):
    request = asked(method)
    papers = papers_for(request, plan_1.day)
    answer = answer_pdf(request, papers, page_of(papers), noted)
    assert answer.status_code == 200 and answer.content == b"%PDF-quick"
    assert PaperPrinted.objects.filter(day=plan_1.day).count() == rows


@pytest.mark.parametrize(
    ("failed", "said"),
    [(NotRendered("x"), "The PDF could not be made."), (PangoMissing("x"), "because Pango is missing")],
)
def test_a_pdf_that_fails_is_said_in_a_sentence_and_not_noted(asked, plan_1, monkeypatch, failed, said):
    def fail(html):
        raise failed

    monkeypatch.setattr(printing, "render_apart", fail)
    request = asked("POST")
    papers = papers_for(request, plan_1.day)
    answer = answer_pdf(request, papers, page_of(papers))
    assert answer.status_code == 503 and said in answer.context_data["sentence"]
    assert not PaperPrinted.objects.exists()


def test_papers_held_back_are_a_conflict(asked, plan_1):
    answer = answer_held_back(asked("GET"), papers_for(asked("GET"), plan_1.day))
    assert answer.status_code == 409 and answer.context_data["stops"] == ()


def page_of(papers):
    """The mix sheet of the papers, its page a word."""
    (paper,) = [paper for paper in PAPERS if paper.key == "mix"]
    return replace(papers.page(paper), html="quick")
