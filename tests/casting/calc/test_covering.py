"""Small days with every possible flask in view."""

import json

import pytest

from casting.calc.bounds import usable_sizes
from casting.calc.columns import columns_of
from casting.calc.covering import cover
from casting.calc.flasks import Bench
from casting.dayfile import read
from tests.bench.make_day import make_day
from tests.days import a_day, planned, wax


def bench_of(day):
    return Bench(read(json.dumps(day)).day)


def covered(bench, most=5000, rounds=12):
    return cover(bench, (), sorted(bench.pieces), usable_sizes(bench, ()), most, rounds)


def test_columns_are_the_sets_that_share_by_the_rules():
    # Two medium rings and a heavy one, one step apart; a very thin one, two steps from medium and
    # three from heavy: of the 15 sets of 4 waxes those with the very thin one and another are out.
    waxes = [wax("w1"), wax("w2"), wax("w3", section="heavy"), wax("w4", section="very_thin")]
    bench = bench_of(a_day(waxes))
    found = {column.keys for column in columns_of(bench, sorted(bench.pieces), frozenset(bench.sizes), 5000)}
    alone = [{"w1"}, {"w2"}, {"w3"}, {"w4"}]
    assert found <= {frozenset(one) for one in [*alone, {"w1", "w2"}, {"w1", "w3"}, {"w2", "w3"}, {"w1", "w2", "w3"}]}
    assert {frozenset(one) for one in alone} <= found


def test_held_waxes_stand_in_one_column_or_none():
    waxes = [wax("w1"), wax("w2"), wax("w3")]
    bench = bench_of(a_day(waxes, held={"w1": "K", "w2": "K"}))
    for column in columns_of(bench, sorted(bench.pieces), frozenset(bench.sizes), 5000):
        assert len(column.keys & {"w1", "w2"}) in {0, 2}


def test_too_many_columns_are_not_listed():
    bench = bench_of(make_day(100, 12))
    assert columns_of(bench, sorted(bench.pieces), frozenset(bench.sizes), 20) is None
    assert covered(bench, most=20) is None


def test_a_flask_that_cannot_be_laid_out_leaves_the_plan_and_not_the_bounds(monkeypatch):
    bench = bench_of(a_day([wax("w1"), wax("w2")]))
    at_best = covered(bench)
    assert at_best.least.flasks == 1
    layout = Bench.layout
    monkeypatch.setattr(
        Bench, "layout", lambda self, keys, size, work=1: layout(self, keys, size, work) if len(keys) < 2 else None
    )
    bench = bench_of(a_day([wax("w1"), wax("w2")]))
    split = covered(bench)
    assert len(split.flasks) == 2
    assert split.least == at_best.least


@pytest.mark.parametrize("seed", [100, 101, 102, 103, 104])
def test_a_class_of_twelve_is_proved_to_its_cost(seed):
    day = make_day(seed, 12)
    best, quick = planned(day, effort=100), planned(day, effort=1)
    assert best["proof"]["proved"]
    assert best["totals"]["cost"] == best["proof"]["cost_at_least"]
    figures = [(len(plan["left_out"]), len(plan["flasks"]), plan["totals"]["cost"]) for plan in (best, quick)]
    assert figures == sorted(figures)
