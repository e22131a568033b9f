"""The board of a day as it stands."""

import pytest

from casting.models import Plan, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.standing import standing_of
from casting.services.flasks import fix_flask
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def waxes(day, student, teacher):
    found = [handed_in(day, student) for _nth in range(3)]
    make_plan(day, teacher)
    return found


def test_every_wax_stands_where_the_plan_has_it(day, waxes):
    plan = Plan.objects.latest_of(day)
    standing = standing_of(day, plan)
    for flask in plan.file["flasks"]:
        spots = standing.flask(flask["label"]).spots
        assert {key: (at.x_mm, at.y_mm, at.turn_deg) for key, at in spots.items()} == {
            wax["key"]: (wax["x_mm"], wax["y_mm"], wax["turn_deg"]) for wax in flask["waxes"]
        }
        assert all(standing.home(key) == flask["label"] for key in spots)
    assert standing.metals["sterling"] == "sterling silver"


def test_a_withdrawn_wax_is_gone_and_a_new_one_stands_in_no_flask(day, student, teacher, waxes):
    withdraw(waxes[0], by=teacher, version=1)
    late = handed_in(day, student)
    standing = standing_of(day, Plan.objects.latest_of(day))
    assert standing.home(late.tag) == ""
    with pytest.raises(NotPlanned, match=f"no wax {waxes[0].tag}"):
        standing.home(waxes[0].tag)


def test_a_wax_held_elsewhere_is_not_held_against_where_it_stands(day, waxes):
    WaxHold.objects.create(wax=waxes[0], label="Z")
    standing = standing_of(day, Plan.objects.latest_of(day))
    assert standing.held == {} and standing.home(waxes[0].tag)


def test_a_flask_on_the_bench_is_not_opened(day, teacher, waxes):
    plan = Plan.objects.latest_of(day)
    label = plan.file["flasks"][0]["label"]
    fix_flask(day, label, "invested", by=teacher)
    standing = standing_of(day, plan)
    assert standing.flask(label).label == label
    with pytest.raises(NotPlanned, match="is on the bench"):
        standing.open_home(plan.file["flasks"][0]["waxes"][0]["key"])
    with pytest.raises(NotPlanned, match="no flask Q"):
        standing.open_flask("Q")


def test_before_the_first_plan_no_wax_stands(day, student):
    wax = handed_in(day, student)
    standing = standing_of(day, None)
    assert standing.flasks == () and standing.home(wax.tag) == ""
