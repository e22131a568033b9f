"""Bills by hand, and laws: lines add up, nothing is free that has no price, own metal is not sold."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.calc.quantities.account.bill import NoPrice, Part, Piece, Prices, bill_lines

PRICES = Prices({"sterling": D("1.60"), "gold-14k": D("62")}, D(6), D(9), D(20), D(45))


def told(pieces, prices=PRICES):
    return [(line.part, line.tag, line.amount) for line in bill_lines(pieces, prices)]


def test_a_bill_by_hand():
    """10.25 x 1.60 = 16.40; 2.31 x 62 = 143.22; two pieces of 6; the class 20: 191.62, above the least of 45."""
    pieces = [Piece("A2", "sterling", D("10.25")), Piece("C3", "gold-14k", D("2.31"))]
    assert told(pieces) == [
        (Part.METAL, "A2", D("16.40")), (Part.PIECE, "A2", D(6)),
        (Part.METAL, "C3", D("143.22")), (Part.PIECE, "C3", D(6)),
        (Part.CLASS_FEE, "", D(20)),
    ]  # fmt: skip


def test_the_least_of_a_bill_is_made_up():
    """1.25 x 1.60 = 2.00, 6 and 20 are 28: 17 are lacking to 45."""
    assert told([Piece("A2", "sterling", D("1.25"))])[-1] == (Part.MINIMUM, "", D(17))


def test_own_metal_is_not_sold():
    pieces = [Piece("A2", "sterling", D("10.25"), own=True)]
    assert told(pieces) == [(Part.OWN_PIECE, "A2", D(9)), (Part.CLASS_FEE, "", D(20)), (Part.MINIMUM, "", D(16))]


def test_unknown_is_not_free_and_nothing_is():
    with pytest.raises(NoPrice, match="si-bronze"):
        bill_lines([Piece("A2", "si-bronze", D(30))], PRICES)
    free = Prices({"si-bronze": D(0)})
    assert bill_lines([Piece("A2", "si-bronze", D(30))], free) == []


def test_half_a_hundredth_is_rounded_up():
    assert told([Piece("A2", "sterling", D("0.5"))], Prices({"sterling": D("0.05")})) == [(Part.METAL, "A2", D("0.03"))]


amounts = st.decimals(0, 1000, places=2)
castings = st.builds(Piece, st.just("A2"), st.just("sterling"), st.decimals(D("0.01"), 500, places=2), st.booleans())


@given(st.lists(castings), amounts, amounts, amounts, amounts, amounts)
def test_a_bill_is_in_cents_and_at_least_its_least(pieces, gram, piece, own, fee, least):
    lines = bill_lines(pieces, Prices({"sterling": gram}, piece, own, fee, least))
    total = sum((line.amount for line in lines), D(0))
    assert total == total.quantize(D("0.01")) and total >= least
    assert all(line.amount > 0 for line in lines)
