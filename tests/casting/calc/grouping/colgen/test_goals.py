"""Goals: their order by the aim, and limits for plans that are no worse."""

from dataclasses import replace

import pytest

from casting.calc.grouping.colgen.goals import goals_of, limit_of
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.values.enums import Aim
from tests.days.day_input import a_day, a_wax


def goals(aim=Aim.FEWEST_POURS):
    day = a_day([a_wax("w1"), a_wax("w2", piece=2)])
    evaluator = FlaskEvaluator(replace(day, rules=replace(day.rules, aim=aim)))
    return goals_of(evaluator, ["w1", "w2"])


@pytest.mark.parametrize(
    ("aim", "last"), [(Aim.FEWEST_POURS, ["flasks", "cost"]), (Aim.LEAST_MATERIAL, ["cost", "flasks"])]
)
def test_waxes_left_out_come_before_flasks_and_cost_in_the_order_of_the_aim(aim, last):
    assert [goal.name for goal in goals(aim)] == ["firsts", "left", *last]


def test_only_first_pieces_count_among_first_pieces_left_out():
    firsts, left, flasks, cost = goals()
    assert (firsts.out, left.out) == ({"w1": 1.0}, {"w1": 1.0, "w2": 1.0})
    assert (flasks.per_flask, flasks.per_cost, cost.per_flask, cost.per_cost) == (1.0, 0.0, 0.0, 1.0)


def test_a_limit_allows_a_cent_more_and_no_wax_or_flask():
    _, left, flasks, cost = goals()
    assert limit_of(cost, 20.0).upper_bound == pytest.approx(20.01)
    assert all(limit_of(goal, 2).upper_bound < 2.001 for goal in (left, flasks))
