"""LPs re-solved from their last basis agree with scipy, and MIPs with trying every choice."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from casting.calc.grouping.highs import IncrementalLP, columns_of, solve_mip

ROWS = 5
"""Rows of things that want a column; a sixth counts the columns used."""


def table(chance, count):
    """Less one in some rows for each column, and one in the row that counts."""
    wanted = -(chance.random((ROWS, count)) < 0.5).astype(float)
    return np.concatenate([wanted, np.ones((1, count))])


@pytest.mark.parametrize("seed", range(8))
def test_an_lp_re_solved_has_the_optimum_of_one_solved_from_scratch(seed):
    """The optimum by scipy; and by hand from the dual values, whose sum no solution can be below."""
    chance = np.random.default_rng(seed)
    figures, lp = table(chance, 3), IncrementalLP(ROWS)
    lp.add_columns(columns_of(figures[:ROWS]))
    lp.add_row(figures[ROWS])
    for _ in range(12):
        fresh = table(chance, int(chance.integers(0, 4)))
        lp.add_columns(columns_of(fresh))
        figures = np.concatenate([figures, fresh], axis=1)
        prices = chance.integers(1, 9, figures.shape[1]).astype(float)
        most = chance.integers(0, 4, figures.shape[1]).astype(float)
        limits = np.append(-chance.integers(0, 3, ROWS), chance.integers(3, 9)).astype(float)
        none = np.zeros(len(prices))
        found = lp.solve(prices, none, most, limits)
        asked = linprog(prices, A_ub=figures, b_ub=limits, bounds=np.column_stack([none, most]))
        assert (found is None) == (asked.x is None)
        if found is not None:
            assert found.objective == pytest.approx(asked.fun, abs=1e-7)
            assert (figures @ found.amounts <= limits + 1e-6).all()
            earned = np.minimum(0.0, prices + found.duals @ figures)
            assert earned @ most - limits @ found.duals == pytest.approx(found.objective, abs=1e-6)


def test_the_same_calls_in_the_same_order_have_the_same_answers():
    def answers():
        chance = np.random.default_rng(3)
        lp = IncrementalLP(ROWS)
        for count in (6, 2, 3):
            lp.add_columns(columns_of(table(chance, count)[:ROWS]))
        for price in range(4):
            prices = 1.0 + (np.arange(11) * 7 + price) % 5
            yield lp.solve(prices, np.zeros(11), np.ones(11), np.full(ROWS, -1.0)).amounts.tolist()

    assert list(answers()) == list(answers())


@pytest.mark.parametrize("seed", range(8))
def test_a_mip_has_the_optimum_of_trying_every_choice(seed):
    chance = np.random.default_rng(100 + seed)
    figures, prices = table(chance, 6), chance.integers(1, 9, 6).astype(float)
    most = chance.integers(1, 3, 6).astype(float)
    low, high = np.full(ROWS + 1, -np.inf), np.append(-chance.integers(0, 3, ROWS), chance.integers(2, 6)).astype(float)
    every = np.array(list(product(*(range(int(n) + 1) for n in most))), dtype=float)
    kept = every[(every @ figures.T <= high + 1e-9).all(axis=1)]
    found = solve_mip(prices, columns_of(figures), (low, high), most, 1000)
    assert found.is_complete
    if len(kept):
        assert found.lower_bound == pytest.approx((kept @ prices).min())
        assert np.round(found.amounts).tolist() in kept.tolist()
    else:
        assert found.amounts is None
        assert found.lower_bound == np.inf


def test_a_column_that_need_not_be_whole_is_used_in_part():
    figures, both = np.array([[2.0, 2.0]]), (np.array([3.0]), np.array([np.inf]))
    whole = solve_mip(np.array([1.0, 5.0]), columns_of(figures), both, np.array([9.0, 9.0]), 100)
    parts = np.array([True, False])
    part = solve_mip(np.array([1.0, 5.0]), columns_of(figures), both, np.array([9.0, 9.0]), 100, parts)
    assert (whole.lower_bound, part.lower_bound) == (pytest.approx(2.0), pytest.approx(1.5))
