"""Column generation: its LP keeps to a step, and its best plan is only ever replaced by a better one."""

import pytest

from casting.calc.grouping.budget import STEPS
from casting.calc.grouping.colgen.goals import goals_of
from casting.calc.grouping.solution import Candidate, Flask
from tests.casting.calc.grouping.colgen.problems import budget_of, evaluator_of, generation_of
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, wax_row


@pytest.mark.parametrize("step", STEPS[:3])
def test_the_lp_of_a_step_uses_no_column_fuller_than_it(step):
    colgen = generation_of(evaluator_of(class_day(104, 12)))
    lp = colgen.solve_lp(goals_of(colgen.evaluator, colgen.loose)[2], [], step)
    assert lp.objective < len(colgen.loose) - 1
    assert all(colgen.no_goods.occupancy[number] <= step.full for number in lp.used)


def test_a_wax_in_two_columns_is_in_the_first_of_them_only():
    colgen = generation_of(evaluator_of(a_day_file([wax_row("w1"), wax_row("w2"), wax_row("w3")])))
    flasks = goals_of(colgen.evaluator, colgen.loose)[2]
    chosen = [colgen.master.add(frozenset(keys), "64x64") for keys in (("w1", "w2"), ("w2", "w3"))]
    assert colgen.adopt(flasks, chosen)
    assert [flask.keys for flask in colgen.plan.flasks] == [{"w1", "w2"}, {"w3"}]


def test_a_plan_that_is_no_better_is_not_adopted():
    colgen = generation_of(evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")])))
    flasks, before = goals_of(colgen.evaluator, colgen.loose)[2], colgen.plan
    assert not colgen.adopt(flasks, [colgen.master.add(frozenset([key]), "64x64") for key in ("w1", "w2")])
    assert colgen.plan is before


def test_a_search_goes_on_from_the_better_of_its_own_plan_and_the_one_given():
    evaluator = evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")]))
    apart = generation_of(evaluator).plan
    together = Candidate((Flask("64x64", frozenset(["w1", "w2"])),), frozenset())
    for own, given in ((apart, together), (together, apart)):
        colgen = generation_of(evaluator, own)
        colgen.resume(given, budget_of(evaluator, 400), {}, ())
        assert colgen.plan is together


def test_held_waxes_may_never_be_left_out_and_others_only_within_the_limit():
    colgen = generation_of(evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")], held={"w1": "A"})))
    assert colgen.may_stay_out([]) == {"w2"}
