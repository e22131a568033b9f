"""A casting day of the cast's own class, planned without a child process."""

import json

import pytest

from casting.calc.grouping.budget import EFFORT
from casting.calc.values.errors import Refused
from casting.presenters.refusals import refusal_of
from casting.selectors.day_file import NotPlanned
from casting.services import plans
from casting.solve import plan_texts
from tests.casting_factories import DayFactory


@pytest.fixture
def day(course):
    return DayFactory(course=course)


def plan_here(day_file):
    """The plan file that the site's child would give, without a second to start it."""
    try:
        (plan,) = plan_texts(day_file.encode(), [EFFORT])
    except Refused as refused:
        raise NotPlanned(refusal_of(str(refused), json.loads(day_file))) from refused
    return plan


@pytest.fixture(autouse=True)
def _planned_here(request, monkeypatch):
    """Plan in this process, but where a test is marked `child`."""
    if request.node.get_closest_marker("child") is None:
        monkeypatch.setattr(plans, "solve", plan_here)
