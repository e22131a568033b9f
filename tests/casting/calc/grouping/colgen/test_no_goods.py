"""No-goods: a failed layout search excludes its column and those that are as hard, and no other."""

import pytest

from casting.calc.grouping.budget import Step
from casting.calc.grouping.colgen.master import RestrictedMaster
from casting.calc.grouping.colgen.no_goods import NoGoods
from casting.calc.grouping.evaluator import FlaskEvaluator
from tests.casting.calc.grouping.colgen.problems import evaluator_of
from tests.days.day_file import a_day_file, wax_row


def test_what_was_sought_in_vain_no_goods_what_is_harder_and_nothing_else(monkeypatch):
    waxes = [wax_row("w1", width_mm=20.0, depth_mm=6.0), wax_row("w2", width_mm=18.0, depth_mm=6.0)]
    waxes += [wax_row("w3", width_mm=21.0, depth_mm=7.0), wax_row("w4", width_mm=10.0, depth_mm=6.0, wax_g=1.5)]
    evaluator = evaluator_of(a_day_file(waxes))
    master = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    pairs = [("w1", "w2"), ("w1", "w3"), ("w2", "w4"), ("w1", "w2")]
    for pair, size in zip(pairs, ["64x64", "64x64", "64x64", "76x76"], strict=True):
        master.add(frozenset(pair), size)
    no_goods = NoGoods(evaluator, master.columns)
    monkeypatch.setattr(FlaskEvaluator, "layout", lambda *_: None)
    assert not no_goods.find_layout(0, Step(9.0, 32))
    # Excluded: itself, and the pair with a larger wax. Not: a pair with a smaller one, nor the wider base.
    assert no_goods.excluded(Step(9.0, 32)).tolist() == [True, True, False, False]
    assert not no_goods.excluded(Step(9.0, 200)).any()
    master.add(frozenset(["w2", "w3"]), "64x64")
    assert no_goods.excluded(Step(9.0, 32)).tolist() == [True, True, False, False, True]


def test_columns_too_full_for_a_step_are_out_of_it_and_back_in_a_later_one():
    evaluator = evaluator_of(a_day_file([wax_row(f"w{n}") for n in range(4)]))
    master = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    for many in (1, 2, 3, 4):
        master.add(frozenset(sorted(evaluator.rules.items)[:many]), "64x64")
    no_goods = NoGoods(evaluator, master.columns)
    full = [0.0, *(many * evaluator.rules.shares("64x64")["w0"] for many in (2, 3, 4))]
    assert no_goods.occupancy.tolist() == [] and no_goods.excluded(Step(full[2] + 1e-9, 32)).tolist() == [0, 0, 0, 1]
    assert no_goods.occupancy.tolist() == pytest.approx(full)
    assert not no_goods.excluded(Step(9.0, 32)).any()
