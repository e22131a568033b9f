"""A casting day of the cast's own class."""

import pytest

from tests.casting_factories import DayFactory


@pytest.fixture
def day(course):
    return DayFactory(course=course)
