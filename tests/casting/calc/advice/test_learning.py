import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.calc.advice.learning import is_few, offer_of, spread_of
from casting.dayfile.rules_file import rulebook

FIGURES = st.lists(st.floats(0.01, 1e4), min_size=1, max_size=40)


@given(values=FIGURES)
def test_quartiles_are_those_of_numpy(values):
    spread = spread_of(values)
    expected = np.percentile(values, (0, 25, 50, 75, 100))
    assert (spread.least, spread.low, spread.median, spread.high, spread.most) == pytest.approx(tuple(expected))
    assert spread.n == len(values)


def test_nothing_is_said_of_nothing():
    assert spread_of([]) is None


def test_of_two_figures_no_default_is_offered_and_of_seven_it_is_told_that_they_are_few():
    def offered(count):
        return offer_of(10, 8, [8] * count, lambda figure: figure, rulebook())

    assert offered(2) is None and offered(3) is not None
    assert is_few(spread_of([8] * 7), rulebook()) and not is_few(spread_of([8] * 8), rulebook())


def test_the_default_in_use_is_not_offered():
    assert offer_of(10, 10, [8, 10, 11], lambda figure: figure, rulebook()) is None


def test_a_school_whose_buttons_are_smaller_than_it_reckons():
    # By hand: the button is reckoned as 15 % of the metal; weighed were 9, 11, 10 and 12 %.
    # Middle 10.5. Missed by 6, 4, 5, 3: 4.5 on average; 10.5 would miss by 1.5, 0.5, 0.5, 1.5: 1.
    # On the latest days 500 g of metal: 75 g of buttons at 15 %, 52.5 g at 10.5 %: 22.5 g less.
    offer = offer_of(15, 10.5, [9, 11, 10, 12], lambda share: 500 * share / 100, rulebook())
    assert (offer.missed, offer.would_miss) == (4.5, 1.0)
    assert offer.changed == -22.5
