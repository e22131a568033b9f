"""The addresses of the papers."""

import pytest
from django.urls import reverse

from casting.papers.render import NotRendered, PangoMissing
from casting.views import papers
from tests.casting.views.test_flasks import store
from tests.casting.written_plans import plan_of_one


@pytest.fixture
def address(day):
    return reverse("day_plan_pdf", args=[day.pk])


def test_a_teacher_gets_the_pdf_of_the_last_revision(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    store(day, teacher, plan_of_one(), revision=2)
    answer = teacher_client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert "revision-2.pdf" in answer["Content-Disposition"]


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, address):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.get(address).status_code == 404


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])
def test_nobody_else_gets_it(day, teacher, address, who, request):
    store(day, teacher, plan_of_one())
    answer = request.getfixturevalue(who).get(address)
    assert answer.status_code == 302 and "next=" in answer["Location"]


def test_without_a_plan_there_is_no_paper(teacher_client, address):
    assert teacher_client.get(address).status_code == 404


def failing_with(error):
    def fail(plan):
        raise error

    return fail


def test_a_machine_without_pango_says_what_mends_it(day, teacher, teacher_client, address, monkeypatch):
    store(day, teacher, plan_of_one())
    monkeypatch.setattr(papers, "pdf_of", failing_with(PangoMissing("no libpango")))
    answer = teacher_client.get(address)
    assert answer.status_code == 503
    assert "Pango is missing" in answer.content.decode() and "apt-get install" in answer.content.decode()


def test_a_paper_that_fails_says_so_and_keeps_the_cause_to_the_log(
    day, teacher, teacher_client, address, monkeypatch, caplog
):
    store(day, teacher, plan_of_one())
    monkeypatch.setattr(papers, "pdf_of", failing_with(NotRendered("it burst at line 7")))
    answer = teacher_client.get(address)
    assert answer.status_code == 503
    assert "could not be made" in answer.content.decode() and "burst" not in answer.content.decode()
    assert "it burst at line 7" in caplog.text
