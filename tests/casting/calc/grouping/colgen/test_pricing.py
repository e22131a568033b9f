"""Pricing: every set that rules and proofs allow is found, and no unseen one is better than its bound."""

from itertools import combinations

import pytest

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.grouping.colgen.pricing import pricing_problems
from tests.casting.calc.grouping.colgen.problems import bounds_of, columns_of, evaluator_of
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, wax_row


@pytest.mark.parametrize("seed", [100, 101, 102])
def test_every_set_that_the_rules_allow_and_no_proof_forbids_is_found(seed):
    evaluator = evaluator_of(class_day(seed, 9))
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
    assert allowed <= columns_of(evaluator)
    assert allowed <= columns_of(evaluator, "widest")


def test_sections_too_far_apart_are_in_no_set():
    # Two medium rings and a heavy one, one step apart; a very thin one, two steps from medium and
    # three from heavy: of the 15 sets of 4 waxes those with the very thin one and another are out.
    waxes = [wax_row("w1"), wax_row("w2"), wax_row("w3", section="heavy"), wax_row("w4", section="very_thin")]
    found = {keys for keys, _ in columns_of(evaluator_of(a_day_file(waxes)))}
    assert not any("w4" in keys and len(keys) > 1 for keys in found)
    assert frozenset(["w1", "w2", "w3"]) in found


def test_held_waxes_are_in_one_set_or_none():
    waxes = [wax_row("w1"), wax_row("w2"), wax_row("w3")]
    for keys, _ in columns_of(evaluator_of(a_day_file(waxes, held={"w1": "K", "w2": "K"}))):
        assert len(keys & {"w1", "w2"}) in {0, 2}


@pytest.mark.parametrize("most", [1, 3, 20])
def test_no_unseen_set_has_a_reduced_profit_over_the_bound(most):
    evaluator = evaluator_of(class_day(103, 12))
    duals = {key: 0.05 + 0.01 * number for number, key in enumerate(sorted(evaluator.rules.items))}
    for _, problem in pricing_problems(bounds_of(evaluator), sorted(evaluator.rules.items), "each"):
        every = problem.price(duals, 0.1, 0.01, -1e9, 10**6, 10**6)
        assert every.unseen_bound == -float("inf")
        priced = set(every.sets)
        for beam, wanted in ((most, 10**6), (10**6, most)):
            few = problem.price(duals, 0.1, 0.01, -1e9, beam, wanted)
            assert all(profit <= few.unseen_bound + 1e-9 for profit, _ in priced - set(few.sets))


@pytest.mark.parametrize("full", [0.4, 0.6, 0.8])
def test_with_a_limit_of_crowding_the_same_sets_are_found_but_for_the_fuller_ones(full):
    evaluator = evaluator_of(class_day(103, 12))
    duals = {key: 0.05 + 0.01 * number for number, key in enumerate(sorted(evaluator.rules.items))}
    for _, problem in pricing_problems(bounds_of(evaluator), sorted(evaluator.rules.items), "each"):
        every = problem.price(duals, 0.1, 0.01, -1e9, 10**6, 10**6)
        roomy = problem.price(duals, 0.1, 0.01, -1e9, 10**6, 10**6, full)
        shares = evaluator.rules.shares(problem.size)
        # A block by itself is no question of room beside others: it is in both.
        alone = {block.keys for block in problem.blocks}
        wanted = {keys for _, keys in every.sets if keys in alone or sum(shares[key] for key in keys) <= full}
        assert {keys for _, keys in roomy.sets} == wanted
