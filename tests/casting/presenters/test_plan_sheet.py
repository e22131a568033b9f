"""A plan's values as pages and papers show them."""

import pytest

from casting.calc.values.enums import Do
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24, plan_of_none, plan_of_one


@pytest.fixture
def plan():
    return read_plan(*as_text(*plan_of_24()))


def test_the_sum_of_a_charge_adds_up_as_it_is_printed():
    (flask,) = read_plan(*as_text(*plan_of_one())).flasks
    # 34.53 g of metal and a button of 15.00 g; 15 % of the metal would be 5.18 g, so the width decides.
    assert [str(part_g) for part_g in (flask.working.metal_g, flask.working.button_g, flask.working.bare_g)] == [
        "34.53",
        "15.00",
        "49.53",
    ]
    assert flask.working.trunk_g is None and not flask.button.by_share


def test_the_gaps_of_a_flask_are_measured_on_its_layout(plan):
    flask = plan.flasks[0]
    # The open end takes 63.5 - 10 - 30 = 23.5 mm of investment over a wax of 30 mm.
    assert flask.over_mm == pytest.approx(23.5)
    assert flask.wall_mm == 6.5
    # pi / 4 x 6.35 squared x 6.35 = 201.1 ml.
    assert flask.flask_ml == pytest.approx(201.1, abs=0.05)


def test_a_day_is_counted_and_its_things_are_found(plan):
    assert plan.wax_count == 24
    assert plan.flask("C").label == "C"
    assert [step.flasks for step in plan.steps_of(Do.POUR)] == [(label,) for label in "ABCDEFGH"]
    # Eight flasks of 283 g, two to a bowl; nothing is mixed yet.
    assert plan.powder_to_fetch_g == 2264 and plan.mixed == ()
    # The night of 14 March 2027 is an hour short in Denver.
    assert [change.by_min for change in plan.clock_changes] == [60]


def test_a_day_without_a_wax_has_nothing_to_fetch():
    plan = read_plan(*as_text(*plan_of_none()))
    assert (plan.wax_count, plan.powder_to_fetch_g, plan.water_to_fetch_g) == (0, 0, 0)
