"""What a student pays: the price rules applied to what the castings weigh."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

CENT = Decimal("0.01")


class Part(StrEnum):
    """The price rules, each a part of a bill."""

    METAL = "metal"
    PIECE = "piece"
    OWN_PIECE = "own_piece"
    CLASS_FEE = "class_fee"
    MINIMUM = "minimum"


@dataclass(frozen=True, slots=True)
class Prices:
    """A price list [the school's currency]; `per_gram` by the alloy's key, a metal that is not in it has no price."""

    per_gram: Mapping[str, Decimal]
    per_piece: Decimal = Decimal(0)
    own_piece: Decimal = Decimal(0)
    class_fee: Decimal = Decimal(0)
    minimum: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Piece:
    """A casting: its tag, its alloy's key, its weight [g], whether its metal was the student's own."""

    tag: str
    alloy: str
    weight_g: Decimal
    own: bool = False


@dataclass(frozen=True, slots=True)
class BillLine:
    """A line of a bill: by which rule, for which casting if for one, and how much [the school's currency]."""

    part: Part
    amount: Decimal
    tag: str = ""
    weight_g: Decimal | None = None
    price: Decimal | None = None


class NoPrice(Exception):
    """No price of a gram is recorded for `alloy`: unknown is not free."""

    def __init__(self, alloy: str) -> None:
        self.alloy = alloy
        super().__init__(alloy)


def bill_lines(pieces: Sequence[Piece], prices: Prices) -> list[BillLine]:
    """Return the lines of a student's bill.

    Parameters
    ----------
    pieces : sequence of Piece
        What came out of the flasks for the student.
    prices : Prices
        The price list.

    Returns
    -------
    list of BillLine
        The metal of each piece by weight, each piece, the class fee once, and what is lacking to the least of a bill;
        a rule of no price has no line. Amounts are in whole hundredths, so the lines add up to the bill.

    Raises
    ------
    NoPrice
        If a metal of the school has no price of a gram.

    Examples
    --------
    >>> rules = Prices({"sterling": Decimal("1.60")}, per_piece=Decimal(6), class_fee=Decimal(20))
    >>> [str(line.amount) for line in bill_lines([Piece("A2", "sterling", Decimal("10.25"))], rules)]
    ['16.40', '6.00', '20.00']
    """
    lines = [line for piece in pieces for line in lines_of_piece(piece, prices)]
    lines += _fee(Part.CLASS_FEE, prices.class_fee)
    lacking = prices.minimum - sum((line.amount for line in lines), Decimal(0))
    return [*lines, *_fee(Part.MINIMUM, lacking)]


def lines_of_piece(piece: Piece, prices: Prices) -> list[BillLine]:
    """Return the lines of a bill that are for one piece.

    Parameters
    ----------
    piece : Piece
        What came out of the flask, or will.
    prices : Prices
        The price list.

    Returns
    -------
    list of BillLine
        Its metal by weight, and the piece; of own metal the piece alone. A rule of no price has no line.

    Raises
    ------
    NoPrice
        If a metal of the school has no price of a gram.

    Examples
    --------
    >>> rules = Prices({"sterling": Decimal("1.60")}, per_piece=Decimal(6), class_fee=Decimal(20))
    >>> [str(line.amount) for line in lines_of_piece(Piece("A2", "sterling", Decimal("8.9")), rules)]
    ['14.24', '6.00']
    """
    if piece.own:
        return _fee(Part.OWN_PIECE, prices.own_piece, piece.tag)
    if piece.alloy not in prices.per_gram:
        raise NoPrice(piece.alloy)
    price = prices.per_gram[piece.alloy]
    metal = BillLine(Part.METAL, _cents(piece.weight_g * price), piece.tag, piece.weight_g, price)
    return [*([metal] if metal.amount else []), *_fee(Part.PIECE, prices.per_piece, piece.tag)]


def _fee(part: Part, amount: Decimal, tag: str = "") -> list[BillLine]:
    return [BillLine(part, _cents(amount), tag)] if _cents(amount) > 0 else []


def _cents(amount: Decimal) -> Decimal:
    """Half a hundredth is rounded up, as on a till."""
    return amount.quantize(CENT, ROUND_HALF_UP)
