"""What a piece is said to cost: the same figure as the bill has for it."""

from decimal import Decimal

import pytest

from casting.calc.quantities.account.bill import Piece, Prices, bill_lines
from casting.presenters.piece_price import PiecePrice, PiecePrices, cost_of, on_the_bill
from school.models import School

PRICES = Prices({"sterling": Decimal("1.60")}, per_piece=Decimal(6), own_piece=Decimal(4), class_fee=Decimal(20))


@pytest.mark.parametrize(
    ("metal_g", "price", "cost"),
    # 34.53 x 1.10 = 37.983; 0.45 x 0.1 = 0.045, half up; a metal without a price costs nobody knows what.
    [(34.53, 1.10, 37.98), (0.45, 0.1, 0.05), (34.53, 0.0, 0.0), (34.53, None, None)],
)
def test_metal_costs_what_its_price_says_to_the_hundredth(metal_g, price, cost):
    assert cost_of(metal_g, price) == cost


def test_where_bills_are_made_a_piece_costs_what_its_bill_will_say():
    shown = PiecePrices(PRICES, {"sterling": 1.10})
    # 8.90 g at 1.60 a gram is 14.24, and 6.00 for the piece: 20.24; 40.24 with the class fee, as the bill adds it up.
    assert shown.of("sterling", 8.9) == PiecePrice(20.24, 14.24, 6.0)
    assert shown.of("sterling", 8.9).parts == "metal 14.24, piece 6.00"
    bill = bill_lines([Piece("A1", "sterling", Decimal("8.9"))], PRICES)
    assert sum(line.amount for line in bill) == Decimal("40.24")
    assert shown.of("sterling", 8.9, own=True) == PiecePrice(4.0, 0.0, 4.0) and not PiecePrice(4.0, 0.0, 4.0).parts
    assert shown.of("si-bronze", 8.9) is None, "unknown is not free"
    free = PiecePrices(Prices({"sterling": Decimal(0)}), {})
    assert free.of("sterling", 8.9) == PiecePrice(0.0) and free.of("sterling", 8.9, own=True) is None


def test_without_prices_for_bills_it_is_the_metal_at_its_list_price():
    shown = PiecePrices(None, {"sterling": 1.10})
    assert shown.of("sterling", 8.9) == PiecePrice(9.79) and not shown.of("sterling", 8.9).parts
    assert shown.of("sterling", 8.9, own=True) is shown.of("si-bronze", 8.9) is None


def test_what_else_comes_on_the_bill_is_said():
    school = School(currency="USD")
    told = on_the_bill(PRICES, school)
    assert "class fee, 20.00\u202fUSD, comes" in told and "least" not in told
    assert on_the_bill(Prices({}, minimum=Decimal(25)), school).endswith("A bill is at least 25.00\u202fUSD.")
