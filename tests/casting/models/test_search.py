"""Background searches: one of each kind for a day."""

import pytest
from django.db import IntegrityError

from casting.models import Search


def test_a_day_has_one_search_of_a_kind(day):
    Search.objects.create(day=day, kind=Search.Kind.PLAN, token="a", pid=1)
    Search.objects.create(day=day, kind=Search.Kind.SAVING, token="b", pid=2)
    with pytest.raises(IntegrityError):
        Search.objects.create(day=day, kind=Search.Kind.PLAN, token="c", pid=3)


@pytest.mark.parametrize("state", Search.State)
def test_only_a_search_that_has_not_ended_goes_on(state):
    assert Search(state=state).goes_on == (state == "searching")
