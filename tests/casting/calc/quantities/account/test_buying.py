"""What to buy, by hand, and as a law: with what is bought, every charge can be half fresh."""

from decimal import Decimal as D

from hypothesis import given
from hypothesis import strategies as st

from casting.calc.quantities.account.buying import to_buy


def test_a_buy_list_by_hand():
    """27 + 45 = 72, 2 % are 1.44, the spare is 45: 118.44. Re-used counts for half, 59.22; fresh are 30: buy 29.22."""
    buy = to_buy([D(27), D(45)], D(2), D(30), D(100), D(50))
    assert (buy.needed_g, buy.reused_g, buy.buy_g) == (D("118.44"), D("59.22"), D("29.3"))


def test_enough_in_stock_buys_nothing():
    assert to_buy([D(27)], D(2), D(100), D(0), D(50)).buy_g == 0
    assert to_buy([], D(2), D(0), D(0), D(50)).buy_g == 0


grams = st.decimals(0, 1000, places=2)


@given(st.lists(grams), grams, grams)
def test_what_is_bought_is_enough_and_not_more(charges, fresh, reusable):
    buy = to_buy(charges, D(3), fresh, reusable, D(50))
    usable = min(reusable, buy.needed_g / 2)
    assert fresh + buy.buy_g + usable >= buy.needed_g
    assert buy.buy_g == 0 or fresh + buy.buy_g + usable < buy.needed_g + D("0.1")
