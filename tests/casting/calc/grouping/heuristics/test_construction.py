"""Construction: what is taken for granted is laid out before it counts, and inserted again where it cannot be."""

from __future__ import annotations

from dataclasses import replace

from casting.calc.grouping.budget import SEEK_SURE
from casting.calc.grouping.evaluator import FlaskEvaluator, SearchMode
from casting.calc.grouping.heuristics import construction as module
from casting.calc.grouping.heuristics.construction import FillOrder, _filled, _put_back, construct
from casting.calc.grouping.solution import Flask
from tests.days.day_input import SMALL, a_day, a_wax, sizes

GULLIBLE = SearchMode(trusted=2.0, kilns_trusted=True, quick=True)
"""A layout is taken for granted even where the base is twice as full as the guess of a full one."""


def bands(count):
    return [a_wax(f"w{number:02}", wax_g=1.0, width_mm=22, depth_mm=6, height_mm=25) for number in range(count)]


def constructed(day):
    evaluator = FlaskEvaluator(day)
    return evaluator, construct(evaluator, (), [key for key in evaluator.rules.items if evaluator.rules.alone[key]])


def in_flasks(plan):
    return sorted(key for flask in plan.flasks for key in flask.keys)


def test_every_flask_of_a_first_plan_has_a_layout_and_a_place_in_the_kilns():
    evaluator, plan = constructed(a_day(bands(14), flask_sizes=sizes(small=4, middle=2, tall=0)))
    assert plan.flasks
    assert all(evaluator.has_layout(flask.keys, flask.size) for flask in plan.flasks)
    assert evaluator.kiln_places(plan.flasks) is not None
    assert in_flasks(plan) + sorted(plan.left) == sorted(evaluator.rules.items)


def test_constructing_leaves_the_mode_of_the_evaluator_as_it_was():
    evaluator, _ = constructed(a_day(bands(14), flask_sizes=sizes(small=4, middle=2, tall=0)))
    assert evaluator.mode == SearchMode()


def test_a_wax_of_a_flask_before_whose_other_waxes_stand_elsewhere_now_is_inserted_again():
    evaluator = FlaskEvaluator(a_day(bands(4), flask_sizes=sizes(small=4, middle=0, tall=0)))
    size = SMALL.key
    start = FillOrder((Flask(size, frozenset({"w00", "w01"})), Flask(size, frozenset({"w02"}))), ["w03"])
    again = _put_back(evaluator, start, (Flask(size, frozenset({"w01", "w03"})),))
    assert {flask.keys for flask in again.flasks} == {frozenset({"w01", "w03"}), frozenset({"w02"})}
    assert again.order == ["w00"]


def test_the_waxes_of_a_flask_without_a_layout_are_inserted_again_and_the_other_flasks_stay():
    # A 51 mm flask has room for three such bands; the search finds no layout of four. A size that would hold five is
    # filled with five when a layout is taken for granted, and the sixth wax has a flask of its own.
    evaluator = FlaskEvaluator(a_day(bands(6), flask_sizes=(replace(SMALL, waxes_max=5),)))
    start = FillOrder((), sorted(evaluator.rules.items))
    trusted = _filled(evaluator.in_mode(GULLIBLE), start)
    laid = tuple(flask for flask in trusted.flasks if evaluator.layout(flask.keys, flask.size, SEEK_SURE))
    assert {flask.keys for flask in laid} == {frozenset({"w05"})}
    again = _put_back(evaluator, start, laid)
    assert (again.flasks, again.order) == (laid, ["w00", "w01", "w02", "w03", "w04"])


def test_what_is_trusted_too_far_never_reaches_the_plan(monkeypatch):
    monkeypatch.setattr(module, "TRUST", GULLIBLE.trusted)
    evaluator, plan = constructed(a_day(bands(6), flask_sizes=(replace(SMALL, waxes_max=5),)))
    assert all(evaluator.has_layout(flask.keys, flask.size) for flask in plan.flasks)
    assert sorted(len(flask.keys) for flask in plan.flasks) == [3, 3]


def test_flasks_with_a_layout_stay_while_the_others_are_filled_again(monkeypatch):
    # Four bands take up 0.81 of the base, so 0.9 trusts four, of which no layout is found. First w0 w1 w2 w3 | w4 w5:
    # the second flask stays. Then w4 w5 w0 w1 | w2 w3: again the second stays.
    stayed = []

    def noted(evaluator, fill_order, laid):
        stayed.append({key for flask in laid for key in flask.keys})
        return _put_back(evaluator, fill_order, laid)

    monkeypatch.setattr(module, "TRUST", 0.9)
    monkeypatch.setattr(module, "_put_back", noted)
    constructed(a_day(bands(6), flask_sizes=(replace(SMALL, waxes_max=5),)))
    assert stayed[:2] == [{"w04", "w05"}, {"w02", "w03"}]
