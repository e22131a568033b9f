"""What follows from a change of a day: told before it is saved, and nothing is kept of the trial."""

import datetime as dt
from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from casting.models import Alloy
from casting.papers.change_effects import digest_of, effects_of_change
from casting.papers.printing import papers_of
from casting.services.days import COLUMNS, DayEntry
from casting.services.prints import mark_printed
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def plan(day, student, teacher):
    handed_in(day, student)
    return make_plan(day, by=teacher)


def as_it_is(day):
    return DayEntry(**{name: getattr(day, name) for name in COLUMNS}, alloys=list(day.alloys.all()))


def printed(day, plan, teacher, *keys):
    papers = papers_of(day, plan, now=timezone.now())
    statuses = {status.paper.key: status.paper for status in papers.statuses()}
    mark_printed(day, [papers.page(statuses[key]) for key in keys or statuses], teacher)


def test_a_change_of_nothing_has_no_effects(day, plan, teacher):
    printed(day, plan, teacher)
    assert effects_of_change(day, as_it_is(day)) == []


def test_a_day_without_waxes_and_plan_has_nothing_to_upset(day):
    assert effects_of_change(day, replace(as_it_is(day), pour_at=day.pour_at + dt.timedelta(hours=4))) == []


def test_a_later_pour_outdates_the_plan_moves_hand_in_and_the_papers(day, plan, teacher):
    printed(day, plan, teacher, "day-plan")
    before = day.pour_at
    said = effects_of_change(day, replace(as_it_is(day), pour_at=before + dt.timedelta(hours=4)))
    assert said[0].startswith("Students can hand in until ") and len(said) == 3
    assert said[1:] == ["Its plan will be out of date: make it again.", "To print again: Day plan."]
    day.refresh_from_db()
    assert day.pour_at == before and day.version == 1 and not day.changes.exists()


def test_a_paper_that_is_not_printed_is_not_to_print_again(day, plan):
    said = effects_of_change(day, replace(as_it_is(day), pour_at=day.pour_at + dt.timedelta(hours=4)))
    assert not [one for one in said if one.startswith("To print again")]


def test_waxes_of_a_metal_no_longer_offered_are_told_by_tag_once(day, plan):
    (wax,) = day.waxes.all()
    bronze = Alloy.objects.get(school=day.course.school, key="si-bronze")
    said = effects_of_change(day, replace(as_it_is(day), alloys=[bronze]))
    assert f"{wax.alloy.name} is no longer offered, but waxes in it stay and are planned: {wax.tag}." in said
    day.alloys.set([bronze])
    assert not [one for one in effects_of_change(day, as_it_is(day)) if "no longer offered" in one]


def test_hand_in_that_is_over_then_is_told_so(day, student):
    handed_in(day, student)
    past = timezone.now() - dt.timedelta(minutes=5)
    (said,) = effects_of_change(day, replace(as_it_is(day), hand_in_closes_at=past))
    assert said.startswith("Hand-in is closed then: it ends ")


def test_what_no_plan_can_be_made_of_is_told(day, plan):
    (said,) = effects_of_change(day, replace(as_it_is(day), sizes_used=["no-such-size"]))
    assert said.startswith("No plan can be made of it then.")


def test_the_digest_tells_effects_apart():
    assert digest_of(["a", "b"]) != digest_of(["a"]) and digest_of(["a"]) == digest_of(["a"])


def test_many_waxes_cost_no_more_queries_than_few(day, plan, teacher):
    printed(day, plan, teacher)
    counts = []
    for more in (1, 8):
        for _nth in range(more):
            handed_in(day)
        with CaptureQueriesContext(connection) as queries:
            effects_of_change(day, replace(as_it_is(day), on_call="Marit"))
        counts.append(len(queries))
    assert counts[0] == counts[1]
