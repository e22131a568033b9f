"""A search as its row and its child say it is."""

import pytest

from casting.models import Search
from casting.selectors.searches import asked_of, folder_of, found_by, lives, status_of
from casting.services import searches
from tests.casting_factories import handed_in


@pytest.fixture
def search(day, student, teacher):
    """A search whose child has ended and that nobody has settled."""
    handed_in(day, student)
    return searches.begin(day, teacher)


def test_a_day_without_a_search_has_no_status(day):
    assert status_of(day) is None


def test_a_search_whose_child_has_ended_is_neither_running_nor_settled(day, search):
    status = status_of(day)
    assert (status.is_running, status.has_ended, status.row.state) == (False, True, Search.State.SEARCHING)
    assert status_of(day, Search.Kind.SAVING) is None


def test_a_settled_search_has_not_ended_again(day, search):
    searches.settle(search)
    status = status_of(day)
    assert (status.is_running, status.has_ended, status.row.state) == (False, False, Search.State.KEPT)


def test_half_a_line_is_not_found_yet(search):
    (folder_of(search) / "found").write_text('{"flasks": [1]}\n{"fla')
    assert found_by(search) == ['{"flasks": [1]}']


def test_a_search_without_its_folder_has_found_and_asked_nothing(day, search):
    searches.settle(search)
    assert not folder_of(search).exists()
    assert (found_by(search), asked_of(search), lives(search)) == ([], "", False)


def test_reading_it_takes_one_query(day, search, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert status_of(day).row.day.course.school == day.course.school
