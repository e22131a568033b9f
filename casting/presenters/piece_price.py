"""What a student is told that a piece will cost: as its bill will say, or the list price of the metal without one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from casting.calc.quantities.account.bill import NoPrice, Part, Piece, Prices, lines_of_piece
from casting.presenters.formats import decimals, money, rounded
from school.models import School


@dataclass(frozen=True, slots=True)
class PiecePrice:
    """What a piece comes to; its two parts where the school charges for the metal and for the piece."""

    total: float
    metal: float = 0.0
    piece: float = 0.0

    @property
    def parts(self) -> str:
        """Its two parts in words; empty if it has but one."""
        if not (self.metal and self.piece):
            return ""
        return _("metal %(metal)s, piece %(piece)s") % {
            "metal": decimals(self.metal, 2),
            "piece": decimals(self.piece, 2),
        }


@dataclass(frozen=True, slots=True)
class PiecePrices:
    """The prices of a day: those that its bills are made by, or where none are kept what a gram of each metal costs."""

    of_bills: Prices | None
    per_gram: Mapping[str, float | None]

    def of(self, alloy: str, metal_g: float, *, own: bool = False) -> PiecePrice | None:
        """Return what a piece of this metal costs, no button counted; None if there is no price or nothing to pay."""
        if self.of_bills is None:
            cost = None if own else cost_of(metal_g, self.per_gram.get(alloy))
            return None if cost is None else PiecePrice(cost)
        try:
            lines = lines_of_piece(Piece("", alloy, Decimal(repr(metal_g)), own), self.of_bills)
        except NoPrice:
            return None
        metal = sum((line.amount for line in lines if line.part is Part.METAL), Decimal(0))
        total = sum((line.amount for line in lines), Decimal(0))
        return None if own and not total else PiecePrice(float(total), float(metal), float(total - metal))


def cost_of(metal_g: float, price_per_g: float | None) -> float | None:
    """Return what metal costs to the hundredth; None without a price.

    Rounded here, as each line is printed, so that the lines of a slip add up to what it says together.
    """
    if price_per_g is None:
        return None
    return float(rounded(Decimal(repr(metal_g)) * Decimal(repr(price_per_g))))


def on_the_bill(prices: Prices, school: School) -> str:
    """Return what a student has to know of prices that bills are made by: what else comes on the bill."""
    said = [_("Prices: what the school charges. The bill goes by what the casting weighs, without the button.")]
    if prices.class_fee:
        said.append(_("The class fee, %(fee)s, comes on the bill too.") % {"fee": money(prices.class_fee, school)})
    if prices.minimum:
        said.append(_("A bill is at least %(minimum)s.") % {"minimum": money(prices.minimum, school)})
    return " ".join(said)
