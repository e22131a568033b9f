"""What differs between two plan files, by flask and figure."""

import copy
from dataclasses import replace

import pytest

from casting.presenters.plan_changes import FlaskChange, changes_between, day_figures, gone_between
from tests.days.written_plans import plan_of_24


@pytest.fixture
def plan():
    return plan_of_24()[0]


def test_a_plan_compared_with_itself_has_no_changes(plan):
    assert changes_between(plan, copy.deepcopy(plan)) == {} and gone_between(plan, plan) == ()


def test_each_figure_that_differs_is_told_with_what_it_was(plan):
    after = copy.deepcopy(plan)
    flask = after["flasks"][0]
    was = {name: flask[name] for name in ("charge_g", "out_at")}
    flask["charge_g"] += 0.5
    flask["out_at"] = flask["out_at"].replace("T1", "T2", 1) if "T1" in flask["out_at"] else "2030-01-01T10:00:00+00:00"
    assert changes_between(plan, after) == {flask["label"]: FlaskChange(flask["label"], was=was)}


def test_the_same_moment_at_another_offset_is_no_change(plan):
    after = copy.deepcopy(plan)
    plan["flasks"][0]["out_at"], after["flasks"][0]["out_at"] = "2027-03-14T10:00:00-06:00", "2027-03-14T16:00:00+00:00"
    assert changes_between(plan, after) == {}


def test_waxes_that_came_went_or_stand_elsewhere_are_told_by_tag(plan):
    after = copy.deepcopy(plan)
    first, second = after["flasks"][:2]
    carried = first["waxes"].pop()
    second["waxes"].append(carried)
    second["waxes"][0]["turn_deg"] += 15
    changes = changes_between(plan, after)
    assert changes[first["label"]].went == (carried["key"],) and changes[first["label"]].came == ()
    assert changes[second["label"]].came == (carried["key"],)
    assert changes[second["label"]].shifted == (second["waxes"][0]["key"],)


def test_a_new_flask_and_one_that_is_gone(plan):
    after = copy.deepcopy(plan)
    old, after["flasks"][0]["label"] = after["flasks"][0]["label"], "Z"
    change = changes_between(plan, after)["Z"]
    assert change.is_new and change.came == tuple(wax["key"] for wax in after["flasks"][0]["waxes"])
    assert gone_between(plan, after) == (old,)


def test_the_day_in_one_line(plan):
    figures = day_figures(plan)
    assert figures.flasks == len(plan["flasks"]) and figures.cost == plan["totals"]["cost"]
    assert figures.last_pour_at == max(flask["out_at"] for flask in plan["flasks"])
    empty = {"flasks": [], "steps": [], "totals": {"cost": 0.0}}
    assert day_figures(empty) == replace(
        figures, waxes=0, flasks=0, hand_in_at=None, kiln_on_at=None, last_pour_at=None, cost=0.0
    )
