"""The page of a search: begun, watched, stopped, broken off."""

import json
import os
import signal

import pytest
from django.urls import reverse

from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from casting.models import Plan, Search
from casting.selectors.day_file import day_file_of
from casting.selectors.searches import folder_of, found_by, lives
from casting.services import searches
from tests.casting_factories import handed_in
from tests.waiting import until

pytestmark = pytest.mark.child
HTMX = {"HX-Request": "true"}


@pytest.fixture
def watched(day, monkeypatch):
    """A day whose search has written one plan and goes on until somebody ends it."""
    handed_in(day)
    values = read(day_file_of(day))
    line = json.dumps(json.loads(write(plan_day(values.day, 1), values)))
    monkeypatch.setattr(searches, "PATIENCE_S", 0)
    monkeypatch.setattr(
        searches, "CHILD", ("-c", f"import time\nprint({line!r}, flush=True)\nwhile True: time.sleep(60)")
    )
    yield day
    for search in Search.objects.all():
        searches.stop(search)


@pytest.fixture
def begun(watched, teacher):
    search = searches.begin(watched, teacher)
    until(lambda: found_by(search))
    return search


def at(name, day):
    return reverse(name, args=[day.pk])


def test_a_long_search_has_a_page_with_the_best_so_far(watched, teacher_client):
    answer = teacher_client.post(at("make_plan", watched))
    assert answer.status_code == 302 and answer["Location"] == at("search", watched)
    until(lambda: found_by(Search.objects.get()))
    page = teacher_client.get(at("search", watched)).content.decode()
    assert "1 wax in 1 flask." in page and "small-flask" in page and "Stop and keep the best so far" in page
    assert "One flask is the fewest there can be." in page


def test_a_short_search_shows_its_flasks_at_once(day, teacher_client, monkeypatch):
    monkeypatch.setattr(searches, "PATIENCE_S", 120)
    handed_in(day)
    assert teacher_client.post(at("make_plan", day))["Location"] == at("flasks", day)
    assert Plan.objects.get().revision == 1


def test_a_poll_is_answered_only_when_there_is_more(begun, watched, teacher_client):
    seen = teacher_client.get(at("search", watched), {"seen": 1}, headers=HTMX)
    assert (seen.status_code, seen.content) == (204, b"")
    more = teacher_client.get(at("search", watched), {"seen": 0}, headers=HTMX).content.decode()
    assert "<html" not in more and "?seen=1" in more


def test_stopped_the_best_so_far_is_the_plan(begun, watched, teacher_client):
    assert teacher_client.get(at("end_search", watched))["Location"] == at("flasks", watched)
    assert not Plan.objects.exists()
    assert teacher_client.post(at("end_search", watched))["Location"] == at("flasks", watched)
    assert Plan.objects.get().file["totals"]["flasks"] == 1
    poll = teacher_client.get(at("search", watched), {"seen": 1}, headers=HTMX)
    assert poll["HX-Redirect"] == at("search", watched)
    assert teacher_client.get(at("search", watched))["Location"] == at("flasks", watched)


def test_a_search_that_broke_off_says_so_and_can_be_begun_again(begun, watched, teacher_client):
    os.kill(begun.pid, signal.SIGKILL)
    until(lambda: not lives(begun))
    assert teacher_client.post(at("end_search", watched))["Location"] == at("search", watched)
    page = teacher_client.get(at("search", watched)).content.decode()
    assert "The search ended early" in page and "Start again" in page and "hx-get" not in page
    assert teacher_client.post(at("end_search", watched))["Location"] == at("flasks", watched)


def test_a_search_that_ended_while_the_server_was_down_is_kept_by_its_page(begun, watched, teacher_client):
    """No thread waits for its child; its end is noted in its folder alone."""
    (folder_of(begun) / "end").write_text("0")
    os.kill(begun.pid, signal.SIGKILL)
    until(lambda: not lives(begun))
    for name in ("waxes", "flasks"):
        page = teacher_client.get(at(name, watched)).content.decode()
        assert "The search for a plan has ended." in page and at("search", watched) in page
    page = teacher_client.get(at("search", watched)).content.decode()
    assert "The search has ended." in page and "every 1s" not in page
    form = page[page.index('<form method="post" action="' + at("end_search", watched)) :].partition("</form>")[0]
    assert 'hx-trigger="load"' in form and "<button" in form and "csrfmiddlewaretoken" in form
    assert not Plan.objects.exists()
    taken = teacher_client.post(at("end_search", watched), headers=HTMX)
    assert taken["HX-Redirect"] == at("flasks", watched)
    assert Plan.objects.get().file["totals"]["flasks"] == 1


def test_the_waxes_and_the_empty_flasks_lead_to_it(begun, watched, teacher_client):
    for name in ("waxes", "flasks"):
        assert at("search", watched) in teacher_client.get(at(name, watched)).content.decode()


def test_the_cast(begun, watched, student_client, classmate_client, other_teacher_client, stranger_client):
    for name, send in (("search", "get"), ("end_search", "post"), ("make_plan", "post")):
        assert getattr(other_teacher_client, send)(at(name, watched)).status_code == 404
        for client in (student_client, classmate_client, stranger_client):
            answer = getattr(client, send)(at(name, watched))
            assert answer.status_code == 302 and "next=" in answer["Location"]
    assert lives(begun)


def test_without_a_search_there_is_no_page(day, teacher_client):
    assert teacher_client.get(at("search", day)).status_code == 404
    assert teacher_client.post(at("end_search", day)).status_code == 404
