"""Storing a plan as the next revision, unless its work is late."""

import datetime as dt
import threading
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.utils import timezone

from casting.models import Alloy, Investment, Plan, Search
from casting.models.errors import NotPlanned
from casting.services import plans, searches
from tests.casting.planned import ended, make_plan, start_here
from tests.casting_factories import DayFactory, handed_in


@pytest.mark.child
def test_a_plan_is_stored_as_the_next_revision(day, teacher):
    wax = handed_in(day)
    first = make_plan(day, by=teacher)
    second = make_plan(day, by=teacher)
    assert (first.revision, second.revision) == (1, 2)
    assert [one["key"] for one in first.file["flasks"][0]["waxes"]] == [wax.tag]
    # 3.20 / 0.96 x 10.36 = 34.53 g, the larger button is 10 g (2 in flask): 44.5 g: worked by hand.
    assert first.file["flasks"][0]["charge_g"] >= 44.5
    assert second.day_values["previous"] == {"A": {"size": first.file["flasks"][0]["size"], "waxes": [wax.tag]}}


@pytest.mark.child
def test_a_child_plans_as_this_process_does(day, teacher, monkeypatch):
    handed_in(day)
    handed_in(day, alloy=Alloy.objects.get(school=day.course.school, key="si-bronze"))
    apart = make_plan(day, by=teacher).plan_file
    Plan.objects.all().delete()
    monkeypatch.setattr(searches, "start_child", start_here)
    assert make_plan(day, by=teacher).plan_file == apart


@pytest.mark.child
def test_a_refused_day_keeps_the_plan_before(day, teacher):
    handed_in(day)
    make_plan(day, by=teacher)
    Investment.objects.filter(school=day.course.school).update(water_per_100=90)
    with pytest.raises(NotPlanned, match="Investment gypsum, water to 100 powder"):
        make_plan(day, by=teacher)
    assert Plan.objects.get().revision == 1


@pytest.mark.parametrize("hours", [-1, 2])
def test_a_plan_whose_work_should_have_begun_is_not_stored(course, teacher, hours):
    """No flask is mixed, set and burned out in two hours: a burnout alone takes five and more, common practice."""
    late = DayFactory(course=course)
    handed_in(late)
    late.pour_at = timezone.now() + dt.timedelta(hours=hours)
    late.save()
    with pytest.raises(NotPlanned, match=r"the mix of A should have started on .* The earliest first pour is "):
        make_plan(late, by=teacher)
    assert not Plan.objects.exists() and not late.flasks.exists()


def written(fixed, inside, **done):
    """A plan and its day file: mixing on Tuesday at 15:30, the kiln at 18:55, the pour on Wednesday at 10:00."""
    steps = [("mix", "2027-03-09T15:30-05:00", ["A"]), ("kiln_on", "2027-03-09T18:55-05:00", inside)]
    plan = {"steps": [{"do": do, "at": at, "flasks": flasks, "kiln": "k1"} for do, at, flasks in steps]}
    if fixed:
        del plan["steps"][0]  # a fixed flask is not mixed again
    return plan, {"pour_at": "2027-03-10T10:00-05:00", "fixed": fixed, **done}


@pytest.mark.parametrize(
    ("fixed", "inside", "now", "said"),
    [
        ([], ["A"], "2027-03-10T08:37-05:00", "Mixing should have started on Tue 15:30 and it is now Wed 08:37."),
        (["A"], ["A", "B"], "2027-03-10T08:37-05:00", "The kiln should have gone on by Tue 18:55 and it is now Wed"),
        (
            ["A"],
            ["A"],
            "2027-03-10T10:01-05:00",
            "The kiln should have gone on by Tue 18:55 and it is now Wed 10:01.",
        ),
        ([], ["A"], "2027-03-20T08:00-04:00", "on Tue 9 Mar 2027, 16:30 and it is now Sat 20 Mar 2027, 08:00."),
    ],
)
def test_the_first_work_that_is_too_late_is_named(fixed, inside, now, said):
    with pytest.raises(NotPlanned) as late:
        plans.refuse_if_late(*written(fixed, inside), dt.datetime.fromisoformat(now))
    assert said in late.value.sentence


@pytest.mark.parametrize(
    ("fixed", "done", "now"),
    [
        ([], {}, "2027-03-09T15:30-05:00"),
        (["A"], {}, "2027-03-09T18:55-05:00"),
        (["A"], {"kiln_on_at": {"k1": "2027-03-09T18:55"}}, "2027-03-10T08:37-05:00"),
        (["A"], {"poured": ["A"]}, "2027-03-10T10:30-05:00"),
    ],
)
def test_work_that_is_done_or_just_begins_is_not_late(fixed, done, now):
    assert plans.refuse_if_late(*written(fixed, ["A"], **done), dt.datetime.fromisoformat(now)) is None


def test_a_kiln_that_is_on_does_not_excuse_a_late_pour():
    file = written(["A"], ["A"], kiln_on_at={"k1": "2027-03-09T18:55"})
    with pytest.raises(NotPlanned, match="The first pour should have been on Wed 10:00 and it is now Wed 10:01"):
        plans.refuse_if_late(*file, dt.datetime.fromisoformat("2027-03-10T10:01-05:00"))


NIGHT = ZoneInfo("America/Denver")
"""On Sunday 7 November 2027 its clocks go back from 02:00 (-06:00) to 01:00 (-07:00)."""


def mixed_in_the_doubled_hour():
    """A mix at the second 01:10 of that night."""
    step = {"do": "mix", "at": "2027-11-07T01:10-07:00", "flasks": ["A"], "kiln": None}
    return {"steps": [step]}, {"pour_at": "2027-11-07T23:00-07:00", "fixed": []}


def test_late_work_of_the_doubled_hour_is_told_apart():
    said = r"should have started on Sun 01:10 \(second\) and it is now Sun 01:20 \(second\)\."
    with pytest.raises(NotPlanned, match=said):
        plans.refuse_if_late(*mixed_in_the_doubled_hour(), dt.datetime(2027, 11, 7, 1, 20, fold=1, tzinfo=NIGHT))


def test_the_first_of_two_equal_times_is_not_late_for_the_second():
    """01:20 by the old clock is 50 minutes before 01:10 by the new one."""
    first = dt.datetime(2027, 11, 7, 1, 20, fold=0, tzinfo=NIGHT)
    assert plans.refuse_if_late(*mixed_in_the_doubled_hour(), first) is None


def test_an_invested_flask_still_needs_its_kiln():
    """Nobody noted that the kiln is on, so it is not."""
    with pytest.raises(NotPlanned, match="The kiln should have gone on by Tue 18:55"):
        plans.refuse_if_late(*written(["A"], ["A"]), dt.datetime.fromisoformat("2027-03-10T08:37-05:00"))


@pytest.mark.child
@pytest.mark.parametrize("limited", ["raise MemoryError", "print('half a li', end='')", "import os; os.abort()"])
def test_a_child_that_fails_keeps_the_plan_before(day, teacher, monkeypatch, limited):
    handed_in(day)
    make_plan(day, by=teacher)
    monkeypatch.setattr(searches, "CHILD", ("-c", limited))
    broken = ended(searches.begin(day, teacher))
    assert broken.state == Search.State.BROKEN
    assert "Stopped before a plan was found" in searches.keep_best(broken).sentence
    assert Plan.objects.get().revision == 1


@pytest.mark.django_db(transaction=True)
def test_two_plans_at_once_are_two_revisions(day, teacher):
    handed_in(day)
    first = make_plan(day, by=teacher)

    def plan():
        try:
            plans.store_plan(day, first.day_file, first.plan_file, teacher)
        finally:
            connection.close()

    threads = [threading.Thread(target=plan) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(Plan.objects.values_list("revision", flat=True)) == [1, 2, 3, 4, 5, 6, 7]
    assert day.flasks.count() == 1
