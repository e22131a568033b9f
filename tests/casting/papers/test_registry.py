"""The papers of a day: which there are, and what each is made of."""

import pytest

from casting.papers.fingerprints import Part
from casting.papers.registry import PAPERS
from tests.casting.papers.printed import job_of


def test_each_paper_has_a_key_of_its_own():
    assert len({paper.key for paper in PAPERS}) == len(PAPERS)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.key)
@pytest.mark.parametrize("planned", ["plan_24", "plan_0"])
def test_a_paper_is_needed_just_when_it_has_a_page(paper, planned, day, request):
    assert paper.needed(None) == (paper.html(job_of(day)) is not None)
    plan = request.getfixturevalue(planned)
    assert paper.needed(plan) == (paper.html(job_of(plan)) is not None)


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.key)
def test_only_a_paper_of_a_plan_follows_from_it(paper, plan_24):
    assert (Part.PLAN in paper.takes(plan_24)) == (paper.of_plan is not None)
    assert Part.PLAN not in paper.takes(None) and Part.PROGRAM in paper.takes(plan_24)
