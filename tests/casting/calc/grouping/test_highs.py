"""Programmes: what is gone on with comes to what a fresh start comes to, and small ones to what trying all gives."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from casting.calc.grouping.highs import Parts, columns_of, in_whole

ROWS = 5
"""Rows of things that want a column; a sixth counts the columns used."""


def table(chance, count):
    """Less one in some rows for each column, and one in the row that counts."""
    wanted = -(chance.random((ROWS, count)) < 0.5).astype(float)
    return np.concatenate([wanted, np.ones((1, count))])


@pytest.mark.parametrize("seed", range(8))
def test_going_on_comes_to_what_a_fresh_start_comes_to(seed):
    """The least by scipy from nought; and by hand from what rows are worth: no answer can be below that sum."""
    chance = np.random.default_rng(seed)
    figures, parts = table(chance, 3), Parts(ROWS)
    parts.add(columns_of(figures[:ROWS]))
    parts.add_row(figures[ROWS])
    for _ in range(12):
        fresh = table(chance, int(chance.integers(0, 4)))
        parts.add(columns_of(fresh))
        figures = np.concatenate([figures, fresh], axis=1)
        prices = chance.integers(1, 9, figures.shape[1]).astype(float)
        most = chance.integers(0, 4, figures.shape[1]).astype(float)
        limits = np.append(-chance.integers(0, 3, ROWS), chance.integers(3, 9)).astype(float)
        none = np.zeros(len(prices))
        found = parts.solve(prices, none, most, limits)
        asked = linprog(prices, A_ub=figures, b_ub=limits, bounds=np.column_stack([none, most]))
        assert (found is None) == (asked.x is None)
        if found is not None:
            assert found.least == pytest.approx(asked.fun, abs=1e-7)
            assert (figures @ found.amounts <= limits + 1e-6).all()
            earned = np.minimum(0.0, prices + found.worth @ figures)
            assert earned @ most - limits @ found.worth == pytest.approx(found.least, abs=1e-6)


def test_the_same_questions_in_the_same_order_have_the_same_answers():
    def answers():
        chance = np.random.default_rng(3)
        parts = Parts(ROWS)
        for count in (6, 2, 3):
            parts.add(columns_of(table(chance, count)[:ROWS]))
        for price in range(4):
            prices = 1.0 + (np.arange(11) * 7 + price) % 5
            yield parts.solve(prices, np.zeros(11), np.ones(11), np.full(ROWS, -1.0)).amounts.tolist()

    assert list(answers()) == list(answers())


@pytest.mark.parametrize("seed", range(8))
def test_whole_numbers_come_to_what_trying_all_of_them_gives(seed):
    chance = np.random.default_rng(100 + seed)
    figures, prices = table(chance, 6), chance.integers(1, 9, 6).astype(float)
    most = chance.integers(1, 3, 6).astype(float)
    low, high = np.full(ROWS + 1, -np.inf), np.append(-chance.integers(0, 3, ROWS), chance.integers(2, 6)).astype(float)
    every = np.array(list(product(*(range(int(n) + 1) for n in most))), dtype=float)
    kept = every[(every @ figures.T <= high + 1e-9).all(axis=1)]
    found = in_whole(prices, columns_of(figures), (low, high), most, 1000)
    assert found.ended
    if len(kept):
        assert found.least == pytest.approx((kept @ prices).min())
        assert np.round(found.amounts).tolist() in kept.tolist()
    else:
        assert found.amounts is None
        assert found.least == np.inf


def test_a_column_that_need_not_be_whole_is_used_in_part():
    figures, both = np.array([[2.0, 2.0]]), (np.array([3.0]), np.array([np.inf]))
    whole = in_whole(np.array([1.0, 5.0]), columns_of(figures), both, np.array([9.0, 9.0]), 100)
    parts = np.array([True, False])
    part = in_whole(np.array([1.0, 5.0]), columns_of(figures), both, np.array([9.0, 9.0]), 100, parts)
    assert (whole.least, part.least) == (pytest.approx(2.0), pytest.approx(1.5))
