"""Time beside cost on the page of flasks: both plans with their figures, one press that takes one, one back."""

import copy
import json
import re

import pytest
from django.urls import reverse

from casting.models import Flask, Plan, Search
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.sooner import sooner_of
from casting.selectors.searches import status_of
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

TAKE, BACK = "Take the plan that ends earlier", "Go back to the cheapest plan"


@pytest.fixture
def wax(day):
    return handed_in(day)


@pytest.fixture
def cheapest(day, teacher, wax):
    """The day's plan, with a copy of it that is said to cost 9.87."""
    plan = make_plan(day, teacher)
    sooner = copy.deepcopy(plan.file)
    sooner["totals"]["cost"] = 9.87
    Search.objects.update(found=json.dumps({"aside": "sooner", "plan": sooner}))
    return plan


def page_of(client, day):
    return re.sub(r"\s+", " ", client.get(reverse("flasks", args=[day.pk])).content.decode())


def take(client, day, revision):
    return client.post(reverse("take_sooner", args=[day.pk]), {"revision": revision}, follow=True)


def test_both_plans_stand_beside_each_other(teacher_client, day, cheapest):
    first, second = sooner_of(OpenedPlan(cheapest), status_of(day)).rows
    assert (first.name, second.name) == ("cheapest", "ends earlier") and second.cost.startswith("9.87")
    assert first.kiln_on and first.hand_in_closes and first.last_pour == second.last_pour
    page = page_of(teacher_client, day)
    assert TAKE in page and BACK not in page and "9.87 USD" in page


def test_one_press_takes_it_and_one_goes_back(teacher_client, teacher, day, cheapest):
    take(teacher_client, day, 1)
    taken = Plan.objects.latest_of(day)
    assert (taken.revision, taken.file["totals"]["cost"], taken.made_by) == (2, 9.87, teacher)
    assert taken.day_file == cheapest.day_file
    page = page_of(teacher_client, day)
    assert BACK in page and TAKE not in page
    teacher_client.post(reverse("make_plan", args=[day.pk]))
    back = Plan.objects.latest_of(day)
    assert back.revision == 3 and back.file["totals"] == cheapest.file["totals"]


def test_it_is_taken_once_and_only_beside_the_plan_that_was_shown(teacher_client, day, cheapest):
    assert "Another plan was made meanwhile" in take(teacher_client, day, 7).content.decode()
    take(teacher_client, day, 1)
    for revision in (1, 2):
        assert "Another plan was made meanwhile" in take(teacher_client, day, revision).content.decode()
    assert Plan.objects.count() == 2


def test_a_flask_invested_meanwhile_stays_as_it_is(teacher_client, day, cheapest):
    Flask.objects.filter(day=day, label="A").update(state=Flask.State.INVESTED)
    assert "The day has changed since this plan was found" in take(teacher_client, day, 1).content.decode()
    assert Plan.objects.get() == cheapest


def test_a_wax_withdrawn_meanwhile_outdates_it(teacher_client, teacher, day, wax, cheapest):
    withdraw(wax, by=teacher, version=wax.version)
    assert TAKE not in page_of(teacher_client, day)
    assert "has changed since" in take(teacher_client, day, 1).content.decode()
    assert Plan.objects.get() == cheapest


def test_another_schools_teacher_takes_nothing(other_teacher_client, day, cheapest):
    assert take(other_teacher_client, day, 1).status_code == 404 and Plan.objects.get() == cheapest


def test_a_day_without_one_shows_nothing(teacher_client, teacher, day, wax):
    plan = make_plan(day, teacher)
    assert sooner_of(OpenedPlan(plan), status_of(day)) is None
    assert "Time beside cost" not in page_of(teacher_client, day)
