"""A search for a plan: one however many press, watched, stopped, broken off, kept."""

import json
import os
import signal
import threading

import pytest
from django.db import connection

from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from casting.models import Flask, Investment, Plan, Search
from casting.selectors.day_file import day_file_of, is_outdated
from casting.selectors.searches import folder_of, found_by, lives
from casting.services import searches
from casting.services import waxes as wax_services
from casting.services.flasks import fix_flask
from casting.services.plans import store_plan
from tests.casting.planned import ended
from tests.casting_factories import handed_in
from tests.waiting import until

pytestmark = pytest.mark.child
FOREVER = "import time\nwhile True: time.sleep(60)\n"


@pytest.fixture
def endless(monkeypatch):
    """A child that writes what it is told and then goes on until somebody ends it."""

    def told(*lines):
        written = "".join(f"print({line!r}, flush=True)\n" for line in lines)
        monkeypatch.setattr(searches, "CHILD", ("-c", written + FOREVER))

    yield told
    for search in Search.objects.all():
        if search.goes_on:
            (folder_of(search) / "found").write_text("")
        searches.stop(search)


def written(search, number=1):
    until(lambda: len(found_by(search)) >= number)


def a_plan(day):
    """The plan file of the day as it stands, on one line as a child writes it."""
    values = read(day_file_of(day))
    return json.dumps(json.loads(write(plan_day(values.day, 1), values)))


def test_what_is_found_is_stored_as_the_next_revision(day, teacher):
    wax = handed_in(day)
    search = ended(searches.begin(day, teacher, effort=20))
    assert search.state == Search.State.KEPT
    plan = Plan.objects.get()
    assert (plan.revision, plan.made_by, search.plan) == (1, teacher, plan)
    assert [one["key"] for one in plan.file["flasks"][0]["waxes"]] == [wax.tag]
    assert list(day.flasks.values_list("label", flat=True)) == ["A"]
    assert not folder_of(search).exists()


def test_a_wax_handed_in_meanwhile_leaves_the_plan_outdated(day, teacher, endless):
    handed_in(day)
    endless(a_plan(day))
    search = searches.begin(day, teacher)
    written(search)
    handed_in(day)
    plan = searches.stop(search).plan
    assert len(plan.day_values["waxes"]) == 1 and is_outdated(plan)


@pytest.mark.django_db(transaction=True)
def test_many_who_press_at_once_get_one_search(day, teacher, endless):
    handed_in(day)
    endless()
    tokens = []

    def press():
        try:
            tokens.append(searches.begin(day, teacher).token)
        finally:
            connection.close()

    threads = [threading.Thread(target=press) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(tokens) == 5 and len(set(tokens)) == 1 == Search.objects.count()


@pytest.mark.django_db(transaction=True)
def test_a_search_that_nobody_looks_at_is_kept_as_well(day, teacher):
    handed_in(day)
    search = searches.begin(day, teacher, effort=5)
    watch = next(thread for thread in threading.enumerate() if thread.name == f"search {search.token}")
    watch.join(120)
    assert Search.objects.get().state == Search.State.KEPT and Plan.objects.count() == 1


def test_stopped_it_keeps_the_best_so_far(day, teacher, endless):
    handed_in(day)
    best = a_plan(day)
    endless('{"worse": 1}', best)
    search = searches.begin(day, teacher)
    written(search, 2)
    assert lives(search)
    ended_one = searches.stop(search)
    assert not lives(search)
    assert (ended_one.state, ended_one.plan.file) == (Search.State.KEPT, json.loads(best))


def test_stopped_before_the_first_plan_it_says_so(day, teacher, endless):
    handed_in(day)
    endless()
    search = searches.stop(searches.begin(day, teacher))
    assert search.state == Search.State.FAILED and "Stopped before a plan was found" in search.sentence
    assert not Plan.objects.exists()


def test_broken_off_it_says_so_and_its_best_may_be_kept_or_begun_again(day, teacher, endless):
    handed_in(day)
    endless(a_plan(day))
    first = searches.begin(day, teacher)
    written(first)
    os.kill(first.pid, signal.SIGKILL)
    assert ended(first).state == Search.State.BROKEN and not Plan.objects.exists()
    assert json.loads(found_by(first)[-1])["totals"]["flasks"] == 1
    again = searches.begin(day, teacher)
    assert again.token != first.token and again.goes_on and not folder_of(first).exists()
    written(again)
    os.kill(again.pid, signal.SIGKILL)
    ended(again)
    assert searches.keep_best(again).plan == Plan.objects.get()


def test_half_a_line_is_no_plan(day, teacher, endless):
    endless()
    handed_in(day)
    search = searches.begin(day, teacher)
    (folder_of(search) / "found").write_text('{"flasks": [1]}\n{"fla')
    assert found_by(search) == ['{"flasks": [1]}']


def test_a_refused_day_ends_with_its_sentence(day, teacher):
    handed_in(day)
    Investment.objects.filter(school=day.course.school).update(water_per_100=90)
    search = ended(searches.begin(day, teacher))
    assert search.state == Search.State.FAILED and search.sentence.startswith("Investment gypsum, water to 100 powder")


def test_a_plan_made_meanwhile_stands(day, teacher, endless):
    handed_in(day)
    endless(a_plan(day))
    search = searches.begin(day, teacher)
    written(search)
    plan = store_plan(day, day_file_of(day), a_plan(day), teacher)
    assert "Another plan was made" in searches.stop(search).sentence
    assert Plan.objects.get() == plan


def test_a_flask_invested_meanwhile_is_not_planned_away(day, teacher, endless):
    handed_in(day)
    store_plan(day, day_file_of(day), a_plan(day), teacher)
    endless(a_plan(day))
    search = searches.begin(day, teacher)
    written(search)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    assert "Flask A was invested" in searches.stop(search).sentence
    assert Plan.objects.get().revision == 1


def test_out_of_time_it_notes_that_it_ended(day, teacher, monkeypatch):
    """The alarm of the child's own clock, which rings at once here."""
    handed_in(day)
    line = a_plan(day)
    rung = "import signal\nfrom casting.worker import child\n"
    rung += "child.limit_time = lambda *_limits: signal.raise_signal(signal.SIGALRM)\n"
    monkeypatch.setattr(searches, "CHILD", ("-c", f"print({line!r}, flush=True)\n{rung}child.main()"))
    assert ended(searches.begin(day, teacher)).state == Search.State.KEPT


def test_the_child_knows_no_secret_and_yields_to_phones(day, teacher, endless, monkeypatch):
    monkeypatch.setenv("CASTING_SECRET_KEY", "a secret")
    handed_in(day)
    report = "import json, os\nfrom casting.worker import child\n"
    report += 'told = lambda *_run: print(json.dumps([os.nice(0), "CASTING_SECRET_KEY" in os.environ]), flush=True)\n'
    monkeypatch.setattr(searches, "CHILD", ("-c", f"{report}child.run = told\nchild.main()\n{FOREVER}"))
    search = searches.begin(day, teacher)
    written(search)
    # Ten below whoever runs this; 19 is the lowest priority that the system knows.
    assert json.loads(found_by(search)[0]) == [min(19, os.nice(0) + 10), False]


def test_a_withdrawn_wax_is_not_sought_for(day, student, teacher):
    wax, other = handed_in(day, student), handed_in(day)
    wax_services.withdraw(wax, by=student, version=1)
    plan = ended(searches.begin(day, teacher, effort=5)).plan
    assert [one["key"] for flask in plan.file["flasks"] for one in flask["waxes"]] == [other.tag]
