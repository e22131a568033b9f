"""A stored plan, its day planned by hand."""

from datetime import UTC, datetime

import pytest

from casting.models import Plan
from tests.casting.papers.sheets.two_owners import plan_of_two_owners
from tests.days.written_plans import as_text, plan_of_24, plan_of_none, plan_of_one


@pytest.fixture(autouse=True)
def _still(still):
    """No paper is made to be read by the clock of this machine."""


def stored(day, teacher, plan, day_file, revision=1):
    """A plan as the database keeps it, made at a time that is known."""
    plan_text, day_text = as_text(plan, day_file)
    row = Plan.objects.create(day=day, revision=revision, plan_file=plan_text, day_file=day_text, made_by=teacher)
    Plan.objects.filter(pk=row.pk).update(made_at=datetime(2027, 3, 10, 19, 5, tzinfo=UTC))
    row.refresh_from_db()
    return row


@pytest.fixture
def plan_24(day, teacher):
    return stored(day, teacher, *plan_of_24())


@pytest.fixture
def plan_1(day, teacher):
    return stored(day, teacher, *plan_of_one(), revision=3)


@pytest.fixture
def plan_0(day, teacher):
    return stored(day, teacher, *plan_of_none())


@pytest.fixture
def plan_own(day, teacher):
    return stored(day, teacher, *plan_of_two_owners())
