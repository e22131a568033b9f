"""Families are solved one by one, and together where they want the same flasks."""

import pytest

from casting.calc.grouping.colgen.decomposition import SubproblemCache, is_optimal, solve
from casting.calc.grouping.evaluator import FlaskEvaluator
from tests.casting.calc.grouping.colgen.problems import bounds_of, budget_of, evaluator_of, one_each
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, planned, wax_row


def test_a_flask_without_a_layout_is_in_no_plan_and_still_in_the_bounds(monkeypatch):
    evaluator = evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")]))
    plan, at_best = solve(SubproblemCache(evaluator, bounds_of(evaluator)), one_each(evaluator), budget_of(evaluator))
    assert len(plan.flasks) == at_best.flasks == 1
    layout = FlaskEvaluator.layout
    monkeypatch.setattr(
        FlaskEvaluator,
        "layout",
        lambda self, keys, size, work=1: layout(self, keys, size, work) if len(keys) < 2 else None,
    )
    evaluator = evaluator_of(a_day_file([wax_row("w1"), wax_row("w2")]))
    split, least = solve(SubproblemCache(evaluator, bounds_of(evaluator)), one_each(evaluator), budget_of(evaluator))
    assert len(split.flasks) == 2
    assert least.flasks == 1
    assert not is_optimal(evaluator, split, least)


def test_families_that_want_the_one_wide_flask_are_solved_together():
    # A 64 mm flask takes four of these, one of 77 mm five and more: five of sterling and five of bronze
    # need two narrow ones each or one wide one. The shelf has one wide one, so three flasks do, and not two.
    small = {"wax_g": 1.0, "width_mm": 14.0, "depth_mm": 5.0}
    waxes = [wax_row(f"{alloy[1]}{n}", alloy=alloy, **small) for alloy in ("sterling", "si-bronze") for n in range(5)]
    shelf = [
        {"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "count": 3},
        {"key": "77x77", "diameter_mm": 76.2, "height_mm": 76.2, "count": 1},
    ]
    plan = planned(a_day_file(waxes, flask_sizes=shelf), effort=100)
    assert sorted(flask["size"] for flask in plan["flasks"]) == ["64x64", "64x64", "77x77"]
    assert plan["proof"]["flasks_at_least"] == 3
    assert "compete for the same flask sizes" in plan["proof"]["why"]


@pytest.mark.parametrize("seed", [100, 101, 102, 103, 104])
def test_a_class_of_twelve_is_proved_to_its_cost(seed):
    day = class_day(seed, 12)
    best, quick = planned(day, effort=100), planned(day, effort=1)
    assert best["proof"]["proved"]
    assert best["totals"]["cost"] == best["proof"]["cost_at_least"]
    figures = [(len(plan["left_out"]), len(plan["flasks"]), plan["totals"]["cost"]) for plan in (best, quick)]
    assert figures == sorted(figures)
