"""What a teacher changes of the school itself."""

import datetime as dt
import zoneinfo

import pytest

from school.changing import Outdated, ahead_of, change_school, same_clock
from school.models import School
from school.signals import zone_asked

NOON = dt.datetime(2027, 1, 5, 17, tzinfo=dt.UTC)  # New York keeps UTC-5 in January, Denver UTC-7
NEW_YORK, DENVER = (zoneinfo.ZoneInfo(f"America/{city}") for city in ("New_York", "Denver"))


def test_a_clock_shows_the_same_in_another_zone_at_another_moment():
    assert same_clock(NOON, NEW_YORK, DENVER) == NOON + dt.timedelta(hours=2)
    assert same_clock(NOON, DENVER, DENVER) == NOON


def test_a_version_that_was_saved_over_is_refused(school, teacher):
    assert change_school(school, {"town": "Salt Cove"}, version=1, by=teacher).version == 2
    with pytest.raises(Outdated) as refusal:
        change_school(school, {"town": "Port Ellery"}, version=1, by=teacher)
    assert refusal.value.now.town == "Salt Cove"
    assert School.objects.get(pk=school.pk).changed_by == teacher.name


def test_what_lies_ahead_is_what_listeners_tell_in_order(school):
    def second(**_signal):
        return [("later", NOON + dt.timedelta(hours=1))]

    def first(**_signal):
        return [("sooner", NOON)]

    zone_asked.connect(second)
    zone_asked.connect(first)
    try:
        assert [name for name, _at in ahead_of(school)] == ["sooner", "later"]
    finally:
        zone_asked.disconnect(second)
        zone_asked.disconnect(first)
