"""A plan at once: what was taken for granted is laid out before it counts, and put in anew where it cannot be."""

from __future__ import annotations

from casting.calc.grouping.budget import SEEK_SURE
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.heuristics import construction as module
from casting.calc.grouping.heuristics.construction import FillOrder, _put_back, construct
from casting.calc.grouping.solution import Flask
from tests.casting.calc.days import SMALL, a_day, a_wax, sizes


def bands(count):
    return [a_wax(f"w{number:02}", wax_g=1.0, width_mm=22, depth_mm=6, height_mm=25) for number in range(count)]


def planned(day):
    evaluator = FlaskEvaluator(day)
    plan = construct(evaluator, (), [key for key in evaluator.items if evaluator.alone[key]])
    return evaluator, plan


def test_every_flask_of_a_first_plan_has_a_layout_and_a_place_in_the_kilns():
    evaluator, plan = planned(a_day(bands(14), flask_sizes=sizes(small=4, middle=2, tall=0)))
    assert plan.flasks
    assert all(evaluator.has_layout(flask.keys, flask.size) for flask in plan.flasks)
    assert evaluator.kiln_places(plan.flasks) is not None
    assert sorted(key for flask in plan.flasks for key in flask.keys) + sorted(plan.left) == sorted(evaluator.items)


def test_a_wax_of_a_flask_before_whose_other_waxes_stand_elsewhere_now_is_put_in_anew():
    evaluator = FlaskEvaluator(a_day(bands(4), flask_sizes=sizes(small=4, middle=0, tall=0)))
    size = SMALL.key
    way = FillOrder((Flask(size, frozenset({"w00", "w01"})), Flask(size, frozenset({"w02"}))), ["w03"])
    again = _put_back(evaluator, way, (Flask(size, frozenset({"w01", "w03"})),))
    assert {flask.keys for flask in again.flasks} == {frozenset({"w01", "w03"}), frozenset({"w02"})}
    assert again.order == ["w00"]


def test_what_has_no_layout_is_put_in_anew_and_the_other_flasks_stay(monkeypatch):
    day = a_day(bands(10), flask_sizes=sizes(small=6, middle=0, tall=0))
    _, freely = planned(day)
    fullest = max(freely.flasks, key=lambda flask: len(flask.keys))
    assert len(fullest.keys) > 1
    put_back = []

    def without(evaluator, keys, size, work, found=FlaskEvaluator.layout):
        return None if keys >= fullest.keys else found(evaluator, keys, size, work)

    def noted(evaluator, way, laid, back=module._put_back):
        put_back.append(laid)
        return back(evaluator, way, laid)

    def sought_in_vain(evaluator, flasks, lay_out=FlaskEvaluator.search_layouts):
        lay_out(evaluator, [flask for flask in flasks if not flask.keys >= fullest.keys])
        for flask in flasks:
            if flask.keys >= fullest.keys:
                evaluator._sought[flask.keys, evaluator.bases[flask.size]] = SEEK_SURE

    monkeypatch.setattr(FlaskEvaluator, "layout", without)
    monkeypatch.setattr(FlaskEvaluator, "search_layouts", sought_in_vain)
    monkeypatch.setattr(module, "_put_back", noted)
    evaluator, plan = planned(day)
    assert put_back
    assert set(put_back[0]) == set(freely.flasks) - {fullest}
    assert not any(flask.keys >= fullest.keys for flask in plan.flasks)
    assert all(evaluator.has_layout(flask.keys, flask.size) for flask in plan.flasks)
