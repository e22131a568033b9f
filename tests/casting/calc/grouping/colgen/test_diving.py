"""Diving: it betters a plan by columns that have layouts, within the limits."""

import pytest

from casting.calc.grouping.budget import STEPS
from casting.calc.grouping.colgen.diving import improve, steps_of
from casting.calc.grouping.colgen.goals import goals_of, limit_of
from tests.casting.calc.grouping.colgen.problems import evaluator_of, generation_of
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, wax_row


def test_two_rings_in_two_flasks_come_into_one_and_no_further():
    colgen = generation_of(evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")])))
    firsts, left, flasks, _ = goals_of(colgen.evaluator, colgen.loose)
    limits = [limit_of(goal, colgen.value(goal)) for goal in (firsts, left)]
    assert improve(colgen, flasks, limits, STEPS[0])
    assert [flask.keys for flask in colgen.plan.flasks] == [{"w1", "w2"}]
    assert not improve(colgen, flasks, limits, STEPS[0])


@pytest.mark.parametrize("waxes", [12, 24])
def test_every_flask_of_a_better_plan_has_a_layout_and_no_wax_is_lost(waxes):
    # Up to 20 waxes a MIP chooses the columns, beyond them a dive.
    small = {"wax_g": 1.0, "width_mm": 14.0, "depth_mm": 5.0}
    shelf = [{"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "count": waxes}]
    kiln = {"key": "k1", "width_mm": 2000, "depth_mm": 2000, "height_mm": 250, "wall_gap_mm": 25}
    kiln |= {"max_ramp_c_per_h": 250, "cool_c_per_h": 150}
    evaluator = evaluator_of(
        a_day_file([wax_row(f"w{n:02}", **small) for n in range(waxes)], flask_sizes=shelf, kilns=[kiln])
    )
    colgen = generation_of(evaluator)
    firsts, left, flasks, _ = goals_of(evaluator, colgen.loose)
    limits = [limit_of(goal, colgen.value(goal)) for goal in (firsts, left)]
    assert improve(colgen, flasks, limits, STEPS[1])
    assert len(colgen.plan.flasks) < waxes / 2 and not colgen.plan.left
    assert sorted(key for flask in colgen.plan.flasks for key in flask.keys) == colgen.loose
    assert all(evaluator.has_layout(flask.keys, flask.size) for flask in colgen.plan.flasks)


@pytest.mark.parametrize(("waxes", "first", "steps"), [(40, 0, 4), (41, 0, 3), (101, 1, 2)])
def test_more_waxes_have_fewer_steps(waxes, first, steps):
    colgen = generation_of(evaluator_of(class_day(100, 4)))
    colgen.loose = [f"w{n}" for n in range(waxes)]
    assert list(steps_of(colgen)) == list(STEPS[first : first + steps])
