"""The first start prints the way in, once; a school that is there prints none."""

import io
import re

from django.db import DatabaseError
from django.test import Client

from school import first_start
from school.models import Invitation


def said():
    out = io.StringIO()
    first_start.tell_the_way_in(out)
    return out.getvalue()


def test_a_site_without_a_school_prints_a_link_that_opens(db, monkeypatch):
    monkeypatch.setattr(first_start.connection, "close", lambda: None)
    text = said()
    token = re.search(r"http://localhost:8000/first-teacher/\?token=(\S+)", text)[1]
    assert "manage.py invite_school" in text
    assert Client().get("/first-teacher/", {"token": token}).status_code == 200
    assert said() == ""  # the other worker


def test_a_site_with_a_school_prints_nothing(school, monkeypatch):
    monkeypatch.setattr(first_start.connection, "close", lambda: None)
    assert said() == "" and not Invitation.objects.exists()


def test_before_the_tables_are_made_nothing_is_printed(monkeypatch):
    def no_table():
        raise DatabaseError("no such table")

    monkeypatch.setattr(first_start.connection, "close", lambda: None)
    monkeypatch.setattr(first_start.School.objects, "exists", no_table)
    assert said() == ""
