"""A casting day of the cast's own class, planned without a child process."""

import pytest

from casting.services import searches
from tests.casting.planned import start_here
from tests.casting_factories import DayFactory


@pytest.fixture
def day(course):
    return DayFactory(course=course)


@pytest.fixture(autouse=True)
def _searched_here(request, monkeypatch):
    """Search in this process, except where a test is marked `child`."""
    if request.node.get_closest_marker("child") is None:
        monkeypatch.setattr(searches, "start_child", start_here)
