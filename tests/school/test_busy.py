"""A database that is busy: a page that says when to try again; any other fault stays a fault."""

import pytest
from django.contrib.sessions.backends.base import SessionBase
from django.db import OperationalError, connection
from django.test import Client
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


@pytest.mark.parametrize(
    ("fault", "status", "told"),
    [(OperationalError("database is locked"), 503, "saving at once"), (ValueError("locked"), 500, "broke on our side")],
)
def test_a_session_that_got_no_turn_is_told_so_and_another_fault_is_one(db, monkeypatch, fault, status, told):
    def refused(_session):
        raise fault

    monkeypatch.setattr(SessionBase, "is_empty", refused)
    answer = Client(raise_request_exception=False).get(reverse("join"))
    assert (answer.status_code, told in answer.text) == (status, True)
