"""Plans as the two files that they consist of."""

import pytest
from django.db import IntegrityError

from casting.models import Plan
from tests.casting_factories import DayFactory


def plan_of(day, revision):
    return Plan.objects.create(day=day, revision=revision, day_file='{"waxes": []}', plan_file='{"flasks": [1]}')


def test_the_latest_plan_is_the_highest_revision_of_that_day(day):
    assert Plan.objects.latest_of(day) is None
    plan_of(day, 2)
    plan_of(day, 1)
    plan_of(DayFactory(), 3)
    assert Plan.objects.latest_of(day).revision == 2


def test_a_plan_is_seen_by_its_own_school(day, teacher, other_teacher):
    plan = plan_of(day, 1)
    assert list(Plan.objects.of(teacher)) == [plan]
    assert not Plan.objects.of(other_teacher)


def test_both_files_are_read_as_values(day):
    plan = plan_of(day, 1)
    assert (plan.file, plan.day_values) == ({"flasks": [1]}, {"waxes": []})


def test_a_revision_is_made_once(day):
    plan_of(day, 1)
    with pytest.raises(IntegrityError):
        plan_of(day, 1)
