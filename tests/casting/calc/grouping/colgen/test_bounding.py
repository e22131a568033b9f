"""Waxes shared out all at once: which flasks are in view, what they prove, what is struck and what never is."""

import json
from itertools import combinations

import pytest

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.proof import usable_sizes
from casting.calc.grouping.budget import Budget, Step
from casting.calc.grouping.colgen.bounding import NONE, Cover
from casting.calc.grouping.colgen.decomposition import Covers, settled, shared_out
from casting.calc.grouping.colgen.goals import goals_of, most_of
from casting.calc.grouping.colgen.master import GoalLimit, RestrictedMaster
from casting.calc.grouping.colgen.no_goods import NoGoods
from casting.calc.grouping.colgen.pricing import stands_of
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.solution import Candidate, Flask
from casting.dayfile import read
from tests.bench.make_day import make_day
from tests.days import a_day, planned, wax


def bench_of(day):
    return FlaskEvaluator(read(json.dumps(day)).day)


def budget_of(evaluator):
    return Budget.of(100, len(evaluator.rules.items), evaluator.spent, evaluator.weighed)


def needs_of(evaluator):
    return CombinatorialBounds(evaluator.rules, usable_sizes(evaluator.rules, ()))


def one_each(evaluator):
    """A plan with a flask for each wax, the narrowest that takes it; stock aside."""
    return Candidate(
        tuple(Flask(evaluator.rules.alone[key][0], frozenset([key])) for key in sorted(evaluator.rules.items)),
        frozenset(),
    )


def in_view(evaluator, windows="each", floor=-1e9, most=10**6):
    found = set()
    for _, stand in stands_of(needs_of(evaluator), sorted(evaluator.rules.items), windows):
        sets = stand.worth(dict.fromkeys(evaluator.rules.items, 0.0), 0.0, 0.0, floor, most, 10**6).sets
        found |= {(keys, stand.size) for _, keys in sets}
    return found


@pytest.mark.parametrize("seed", [100, 101, 102])
def test_every_set_that_the_rules_allow_and_no_proof_forbids_is_in_view(seed):
    evaluator = bench_of(make_day(seed, 9))
    allowed = set()
    for count in range(1, 10):
        for keys in map(frozenset, combinations(sorted(evaluator.rules.items), count)):
            footprints = [evaluator.rules.items[key].footprint for key in sorted(keys)]
            allowed |= {
                (keys, size)
                for size in evaluator.rules.sizes
                if evaluator.rules.allows(keys, size) and not cannot_share(footprints, evaluator.rules.bases[size])
            }
    assert len(allowed) > 20
    assert allowed <= in_view(evaluator)
    assert allowed <= in_view(evaluator, "widest")


def test_sections_too_far_apart_are_in_no_set():
    # Two medium rings and a heavy one, one step apart; a very thin one, two steps from medium and
    # three from heavy: of the 15 sets of 4 waxes those with the very thin one and another are out.
    waxes = [wax("w1"), wax("w2"), wax("w3", section="heavy"), wax("w4", section="very_thin")]
    found = {keys for keys, _ in in_view(bench_of(a_day(waxes)))}
    assert not any("w4" in keys and len(keys) > 1 for keys in found)
    assert frozenset(["w1", "w2", "w3"]) in found


def test_held_waxes_stand_in_one_set_or_none():
    waxes = [wax("w1"), wax("w2"), wax("w3")]
    for keys, _ in in_view(bench_of(a_day(waxes, held={"w1": "K", "w2": "K"}))):
        assert len(keys & {"w1", "w2"}) in {0, 2}


@pytest.mark.parametrize("most", [1, 3, 20])
def test_what_is_not_carried_on_is_worth_no_more_than_is_said(most):
    evaluator = bench_of(make_day(103, 12))
    worth = {key: 0.05 + 0.01 * number for number, key in enumerate(sorted(evaluator.rules.items))}
    for _, stand in stands_of(needs_of(evaluator), sorted(evaluator.rules.items), "each"):
        every = stand.worth(worth, 0.1, 0.01, -1e9, 10**6, 10**6)
        assert every.unseen == -float("inf")
        for few in (stand.worth(worth, 0.1, 0.01, -1e9, most, 10**6), stand.worth(worth, 0.1, 0.01, -1e9, 10**6, most)):
            missed = set(every.sets) - set(few.sets)
            assert all(value <= few.unseen + 1e-9 for value, _ in missed)


def test_a_plan_that_leaves_one_wax_out_is_not_measured_against_one_and_a_half():
    # Three waxes, each in a flask of its own, and two flasks on the shelf: one stays out, so the two cheapest are
    # the least that any plan costs. A half of another left out would take half its flask off.
    evaluator = bench_of(a_day([wax("w1"), wax("w2"), wax("w3")]))
    size = evaluator.rules.alone["w1"][0]
    ledger = RestrictedMaster(evaluator, {size: 2}, sorted(evaluator.rules.items), {})
    numbers = [ledger.add(frozenset([key]), size) for key in sorted(evaluator.rules.items)]
    _, left, _, cost = goals_of(evaluator, sorted(evaluator.rules.items))
    found = ledger.in_parts(cost, [GoalLimit(left, most_of(left, 1))], evaluator.rules.items, NONE)
    costs = sorted(ledger.columns[number].cost for number in numbers)
    assert found is not None
    assert found.worth.least == pytest.approx(costs[0] + costs[1], rel=1e-4)
    whole = ledger.in_whole(cost, [GoalLimit(left, most_of(left, 1))], evaluator.rules.items, numbers, 100)
    assert whole.ended
    assert whole.least == pytest.approx(costs[0] + costs[1])


def test_the_worth_of_waxes_proves_the_least_and_no_column_earns_more_than_it_says():
    evaluator = bench_of(make_day(104, 12))
    loose = sorted(evaluator.rules.items)
    ledger = RestrictedMaster(evaluator, evaluator.stock, loose, {})
    for keys, size in sorted(in_view(evaluator), key=lambda one: (sorted(one[0]), one[1])):
        ledger.add(keys, size)
    goal = goals_of(evaluator, loose)[2]
    parts = ledger.in_parts(goal, [], [], NONE)
    assert parts.worth.least == pytest.approx(parts.least, abs=1e-6)
    for column in ledger.columns:
        earned = sum(parts.worth.wax[key] for key in column.keys) - parts.worth.asked(column.size, column.family)
        assert earned <= 1e-6
    assert ledger.in_whole(goal, [], [], range(len(ledger.columns)), 400).least >= parts.least - 1e-6


def test_a_flask_that_cannot_be_laid_out_leaves_the_plan_and_not_the_bounds(monkeypatch):
    evaluator = bench_of(a_day([wax("w1"), wax("w2")]))
    plan, at_best = shared_out(Covers(evaluator, needs_of(evaluator)), one_each(evaluator), budget_of(evaluator))
    assert len(plan.flasks) == at_best.flasks == 1
    layout = FlaskEvaluator.layout
    monkeypatch.setattr(
        FlaskEvaluator,
        "layout",
        lambda self, keys, size, work=1: layout(self, keys, size, work) if len(keys) < 2 else None,
    )
    evaluator = bench_of(a_day([wax("w1"), wax("w2")]))
    split, least = shared_out(Covers(evaluator, needs_of(evaluator)), one_each(evaluator), budget_of(evaluator))
    assert len(split.flasks) == 2
    assert least.flasks == 1
    assert not settled(evaluator, split, least)


def test_what_was_sought_in_vain_strikes_what_is_harder_and_nothing_else(monkeypatch):
    waxes = [wax("w1", width_mm=20.0, depth_mm=6.0), wax("w2", width_mm=18.0, depth_mm=6.0)]
    waxes += [wax("w3", width_mm=21.0, depth_mm=7.0), wax("w4", width_mm=10.0, depth_mm=6.0, wax_g=1.5)]
    evaluator = bench_of(a_day(waxes))
    ledger = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    pairs = [("w1", "w2"), ("w1", "w3"), ("w2", "w4"), ("w1", "w2")]
    for pair, size in zip(pairs, ["64x64", "64x64", "64x64", "76x76"], strict=True):
        ledger.add(frozenset(pair), size)
    strikes = NoGoods(evaluator, ledger.columns)
    monkeypatch.setattr(FlaskEvaluator, "layout", lambda *_: None)
    assert not strikes.lays(0, Step(9.0, 32))
    # Struck: itself, and the pair with a larger wax. Not: a pair with a smaller one, nor the wider base.
    assert strikes.out(Step(9.0, 32)).tolist() == [True, True, False, False]
    assert not strikes.out(Step(9.0, 200)).any()
    ledger.add(frozenset(["w2", "w3"]), "64x64")
    assert strikes.out(Step(9.0, 32)).tolist() == [True, True, False, False, True]


def test_columns_too_full_for_a_step_are_out_of_it_and_back_in_a_later_one():
    evaluator = bench_of(a_day([wax(f"w{n}") for n in range(4)]))
    ledger = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    for many in (1, 2, 3, 4):
        ledger.add(frozenset(sorted(evaluator.rules.items)[:many]), "64x64")
    strikes = NoGoods(evaluator, ledger.columns)
    full = [0.0, *(many * evaluator.rules.shares("64x64")["w0"] for many in (2, 3, 4))]
    assert strikes.crowding.tolist() == [] and strikes.out(Step(full[2] + 1e-9, 32)).tolist() == [0, 0, 0, 1]
    assert strikes.crowding.tolist() == pytest.approx(full)
    assert not strikes.out(Step(9.0, 32)).any()


@pytest.mark.parametrize("full", [0.4, 0.6, 0.8])
def test_with_a_limit_to_fullness_the_same_sets_are_found_but_for_the_fuller_ones(full):
    evaluator = bench_of(make_day(103, 12))
    worth = {key: 0.05 + 0.01 * number for number, key in enumerate(sorted(evaluator.rules.items))}
    for _, stand in stands_of(needs_of(evaluator), sorted(evaluator.rules.items), "each"):
        every = stand.worth(worth, 0.1, 0.01, -1e9, 10**6, 10**6)
        roomy = stand.worth(worth, 0.1, 0.01, -1e9, 10**6, 10**6, full)
        shares = evaluator.rules.shares(stand.size)
        # A block by itself is no question of room beside others: it is in both.
        alone = {block.keys for block in stand.blocks}
        wanted = {keys for _, keys in every.sets if keys in alone or sum(shares[key] for key in keys) <= full}
        assert {keys for _, keys in roomy.sets} == wanted


def test_what_columns_earn_is_what_their_waxes_are_worth_less_what_is_asked():
    evaluator = bench_of(make_day(104, 12))
    ledger = RestrictedMaster(evaluator, evaluator.stock, sorted(evaluator.rules.items), {})
    for keys, size in sorted(in_view(evaluator), key=lambda one: (sorted(one[0]), one[1]))[:60]:
        ledger.add(keys, size)
    goal = goals_of(evaluator, sorted(evaluator.rules.items))[3]
    worth = ledger.in_parts(goal, [], frozenset(evaluator.rules.items), NONE).worth
    by_hand = [
        sum(worth.wax[key] for key in one.keys) - worth.asked(one.size, one.family) - worth.per_cost * one.cost
        for one in ledger.columns
    ]
    assert ledger.earnings(worth, range(len(ledger.columns))).tolist() == pytest.approx(by_hand)


def test_a_column_that_is_chosen_counts_whole():
    evaluator = bench_of(make_day(104, 12))
    loose = sorted(evaluator.rules.items)
    ledger = RestrictedMaster(evaluator, evaluator.stock, loose, {})
    for keys, size in sorted(in_view(evaluator), key=lambda one: (sorted(one[0]), one[1])):
        ledger.add(keys, size)
    goal = goals_of(evaluator, loose)[2]
    free = ledger.in_parts(goal, [], [], NONE)
    single = next(n for n, column in enumerate(ledger.columns) if len(column.keys) == 1 and n not in free.used)
    bound = ledger.in_parts(goal, [], [], NONE, {single})
    assert bound.amounts[bound.used.index(single)] >= 1 - 1e-9
    assert bound.least >= free.least - 1e-9


def test_a_bound_is_not_kept_once_more_is_allowed():
    # Three waxes, one in each flask of three: that two flasks are needed is proved where none may stay out.
    # Where one may, one flask less is needed, and the bound of before must not stand.
    waxes = [wax(f"w{n}", wax_g=9.0, width_mm=24.0, depth_mm=20.0) for n in range(3)]
    evaluator = bench_of(a_day(waxes))
    goals = goals_of(evaluator, sorted(evaluator.rules.items))
    whole = one_each(evaluator)
    cover = Cover(evaluator, needs_of(evaluator), whole, evaluator.stock, budget_of(evaluator), {})
    for nth, goal in enumerate(goals):
        cover.pursue(goal, goals[:nth], {})
    proved = cover.least["flasks"]
    short = Candidate(whole.flasks[:2], frozenset(["w2"]))
    cover.plan = short
    for nth, goal in enumerate(goals[:3]):
        cover.pursue(goal, goals[:nth], {"left": 1.0, "firsts": 1.0})
    assert proved == 3
    assert cover.least["flasks"] <= 2


@pytest.mark.parametrize("seed", [100, 101, 102, 103, 104])
def test_a_class_of_twelve_is_proved_to_its_cost(seed):
    day = make_day(seed, 12)
    best, quick = planned(day, effort=100), planned(day, effort=1)
    assert best["proof"]["proved"]
    assert best["totals"]["cost"] == best["proof"]["cost_at_least"]
    figures = [(len(plan["left_out"]), len(plan["flasks"]), plan["totals"]["cost"]) for plan in (best, quick)]
    assert figures == sorted(figures)


def test_parties_that_want_the_one_wide_flask_are_shared_out_as_one():
    # A 64 mm flask takes four of these, one of 77 mm five and more: five of sterling and five of bronze
    # need two narrow ones each or one wide one. The shelf has one wide one, so three flasks do, and not two.
    small = {"wax_g": 1.0, "width_mm": 14.0, "depth_mm": 5.0}
    waxes = [wax(f"{alloy[1]}{n}", alloy=alloy, **small) for alloy in ("sterling", "si-bronze") for n in range(5)]
    shelf = [
        {"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "count": 3},
        {"key": "77x77", "diameter_mm": 76.2, "height_mm": 76.2, "count": 1},
    ]
    plan = planned(a_day(waxes, flask_sizes=shelf), effort=100)
    assert sorted(flask["size"] for flask in plan["flasks"]) == ["64x64", "64x64", "77x77"]
    assert plan["proof"]["flasks_at_least"] == 3
    assert "want the same sizes" in plan["proof"]["why"]
