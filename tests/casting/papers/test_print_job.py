"""A print job: the one value that a paper is made from."""

from casting.papers.edition import Edition
from tests.casting.papers.printed import job_of


def test_a_job_of_a_day_is_a_first_edition_and_carries_its_origin(day):
    job = job_of(day, origin="https://bench.example.org")
    assert job.edition == Edition() and job.address_of("/join/") == "https://bench.example.org/join/"


def test_the_template_of_a_plan_s_paper_gets_the_plan_s_own_parts(plan_1):
    job = job_of(plan_1, edition=Edition(2))
    context = job.context()
    assert (context["edition"].number, context["opened"], context["sheet"]) == (2, job.opened, job.opened.sheet)
    assert (context["school"], context["units"]) == (plan_1.day.course.school, job.opened.units)
    # Its day file is written by hand, so the day's rows are others.
    assert context["outdated"] is True
