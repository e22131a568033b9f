"""The line through the day on top of its pages, and the context that they share."""

from django.urls import reverse

from casting.presenters.navigation import day_context, plan_context, way_of
from casting.presenters.opened_plan import OpenedPlan
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

SHOW_A_PLAN = {"Flasks", "Day plan", "Mounting", "Kiln room", "Pours", "Metal account"}


def test_pages_that_show_a_plan_are_closed_before_there_is_one(day):
    way = way_of(day, "waxes")
    assert {label for label, address, _state in way if address is None} == SHOW_A_PLAN
    assert [label for label, _address, state in way if state] == ["Waxes"]


def test_with_a_plan_every_page_is_open(day, student, teacher):
    handed_in(day, student)
    plan = make_plan(day, by=teacher)
    way = way_of(day, "flasks", plan)
    assert [address for _label, address, _state in way] == [
        reverse(name, args=[day.pk])
        for name in (
            ["waxes", "board", "flasks", "day_plan", "mounting", "kiln_room", "pours", "papers", "metal_account"]
        )
    ]


def test_a_page_of_a_plan_has_all_that_a_page_of_the_day_has(day, student, teacher):
    handed_in(day, student)
    opened = OpenedPlan(make_plan(day, by=teacher))
    of_day, of_plan = day_context(day, opened.plan, "flasks"), plan_context(opened, "flasks")
    assert of_day.items() <= of_plan.items()
    assert (of_plan["sheet"], of_plan["held_back"]) == (opened.sheet, ())
