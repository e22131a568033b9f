"""Small random days, tight in stock, crucible and kiln, against every plan there is (see `tests.bench.small_days`)."""

from dataclasses import replace
from functools import cache

import pytest

from casting.calc.grouping.group import group
from casting.calc.values.enums import Aim
from tests.bench.small_days import EFFORT, EveryPlan, a_small_day, score_of, wrongs
from tests.days.day_input import a_day, a_wax, sizes

DAYS = range(60)


@cache
def best_of(seed: int):
    """The score of the best of all plans of a small day, looked for once."""
    return EveryPlan(a_small_day(seed)).best()


@pytest.mark.parametrize("seed", DAYS)
def test_no_bound_passes_the_best_of_all_plans_and_what_is_proved_is_the_best(seed: int):
    day = a_small_day(seed)
    assert wrongs(day, group(day, EFFORT), best_of(seed)) == []


def test_the_days_hold_every_kind_of_case():
    days = [a_small_day(seed) for seed in DAYS]
    best = [best_of(seed) for seed in DAYS]
    assert any(day.held for day in days)
    assert any(day.fixed for day in days)
    assert sum(size.mount == "tree" for day in days for size in day.flask_sizes) > 10
    assert {day.rules.aim for day in days} == set(Aim)
    assert 5 < sum(score[1] > 0 for score in best) < 55
    assert any({wax.owner for wax in day.waxes} == {"school", "S1"} for day in days)


def test_the_best_of_all_plans_by_hand():
    # Three waxes of 7 g: 7 / 0.96 x 10.36 = 75.54 g of sterling each, with 15 % for the button 86.9 g. Two take
    # 173.7 g, three 260.6 g, over the melt of 198.9 g: two flasks. Powder of a 51 x 64: 128.7 ml x 1.12 / 0.7961
    # ml a gram = 182 g (0.728); of a 64 x 64: 201.1 ml, 283 g (1.132). One alone: 11.33 g of button, 15 in the
    # 64 mm one. In the small ones with two and one: 2 x 0.728 + (22.66 + 11.33) x 0.1 = 4.86.
    day = a_day([a_wax(f"w{i}", wax_g=7.0) for i in range(3)], flask_sizes=sizes(small=2, middle=1, tall=0))
    assert EveryPlan(day).best() == (0, 0, 2, 4.86)
    plan = group(day, EFFORT)
    assert score_of(day, plan) == (0, 0, 2, 4.86)
    assert plan.proof.proved


@pytest.mark.parametrize("goal", ["first_left_out_at_least", "left_out_at_least", "flasks_at_least", "cost_at_least"])
def test_a_bound_that_is_too_high_is_told(goal: str):
    day = a_day([a_wax(f"w{i}", wax_g=7.0) for i in range(3)])
    plan, best = group(day, EFFORT), EveryPlan(day).best()
    assert wrongs(day, plan, best) == []
    higher = replace(plan, proof=replace(plan.proof, **{goal: getattr(plan.proof, goal) + 1}))
    assert len(wrongs(day, higher, best)) == 1


def test_a_plan_said_to_be_proved_that_is_not_the_best_is_told():
    day = a_day([a_wax("w1"), a_wax("w2")])
    plan = group(day, EFFORT)
    apart = group(replace(day, held={"w1": "A", "w2": "B"}), EFFORT)
    assert (len(plan.groups), len(apart.groups)) == (1, 2)
    assert len(wrongs(day, replace(apart, proof=plan.proof), EveryPlan(day).best())) == 2
