"""When a tablet says that it was pressed."""

import datetime as dt

import pytest

from casting.views.running.pressed import pressed_at


def test_a_moment_with_its_zone_is_taken():
    assert pressed_at("2027-01-09T12:00:05.250Z") == dt.datetime(2027, 1, 9, 12, 0, 5, 250000, tzinfo=dt.UTC)


@pytest.mark.parametrize("text", ["", "soon", "2027-01-09T12:00", "2027-13-40T99:00:00Z", "x" * 500])
def test_anything_else_is_now(text):
    assert pressed_at(text) is None
