"""The plan that is drawn."""

import pytest

from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24


@pytest.fixture
def plan():
    return read_plan(*as_text(*plan_of_24()))
