"""A database that is busy: a page that says when to try again; any other fault stays a fault."""

import pytest
from django.db import OperationalError, connection
from django.urls import reverse

from casting.views import hand_in
from school.busy import BusyDatabaseMiddleware
from tests.casting_factories import DayFactory, typed


def test_a_wax_that_got_no_turn_is_told_so_and_is_sent_again(student, student_client, monkeypatch):
    def locked(*_given, **_named):
        raise OperationalError("database is locked")

    day = DayFactory(course=student.course)
    monkeypatch.setattr(hand_in.wax_services, "hand_in", locked)
    answer = student_client.post(reverse("hand_in_day", args=[day.pk]), typed(day) | {"outbox": "1"})
    assert (answer.status_code, answer["Retry-After"]) == (503, "5")
    assert "Too many people are saving at once" in answer.content.decode()


@pytest.mark.parametrize("fault", [OperationalError("no such table: casting_wax"), ValueError("locked")])
def test_any_other_fault_is_one(fault, monkeypatch):
    monkeypatch.setattr(connection, "vendor", "sqlite")
    assert BusyDatabaseMiddleware(None).process_exception(None, fault) is None


def test_whatever_postgresql_cannot_do_now_may_go_better_in_a_moment(monkeypatch):
    monkeypatch.setattr(connection, "vendor", "postgresql")
    answer = BusyDatabaseMiddleware(None).process_exception(None, OperationalError("deadlock detected"))
    assert answer.status_code == 503
