"""A casting day of the cast's own class, planned without a child process."""

import pytest

from casting import planning
from casting.calc.errors import Refused
from casting.refused_day import refusal_of
from casting.solve import EFFORT, plan_texts
from tests.casting_factories import DayFactory


@pytest.fixture
def day(course):
    return DayFactory(course=course)


def plan_here(day_file):
    """The plan file that the site's child would give, without a second to start it."""
    try:
        (plan,) = plan_texts(day_file.encode(), [EFFORT])
    except Refused as refused:
        raise planning.NotPlanned(refusal_of(str(refused), day_file)) from refused
    return plan


@pytest.fixture(autouse=True)
def _planned_here(request, monkeypatch):
    """Plan in this process, but where a test is marked `child`."""
    if request.node.get_closest_marker("child") is None:
        monkeypatch.setattr(planning, "solve", plan_here)
