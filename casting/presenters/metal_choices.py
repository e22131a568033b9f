"""What a wax would take and cost in each metal that its day offers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from casting.calc.quantities.account.bill import Prices
from casting.calc.quantities.charge import metal_of
from casting.models import Alloy, PatternMaterial
from casting.presenters.piece_price import PiecePrice, PiecePrices


@dataclass(frozen=True, slots=True)
class MetalChoice:
    """One metal: the grams of the wax with its sprue in it, those of the sprue apart if it was weighed, the price.

    The price is None if nobody recorded one; no button is counted.
    """

    alloy: Alloy
    metal_g: float
    sprue_metal_g: float | None
    price: PiecePrice | None

    @property
    def piece_metal_g(self) -> float | None:
        """The grams of the piece without its sprue, if that was weighed."""
        return None if self.sprue_metal_g is None else self.metal_g - self.sprue_metal_g


def metal_choices(
    wax_g: float,
    pattern: PatternMaterial,
    alloys: Iterable[Alloy],
    sprue_g: float,
    sprue: PatternMaterial | None,
    of_bills: Prices | None = None,
    *,
    own: bool = False,
) -> list[MetalChoice]:
    """Return the choices for a wax of `wax_g` with its sprue [g], in the order of the metals.

    `of_bills` are the prices that the school's bills are made by, if it keeps any; `own` metal is the student's.
    """
    listed = list(alloys)
    prices = PiecePrices(of_bills, {alloy.key: alloy.price_per_g for alloy in listed})
    wax_sg, sprue_sg = pattern.specific_gravity, sprue.specific_gravity if sprue else None
    found = []
    for alloy in listed:
        metal_g = metal_of(wax_g, wax_sg, alloy.specific_gravity, sprue_g, sprue_sg)
        of_sprue = metal_of(sprue_g, sprue_sg or wax_sg, alloy.specific_gravity) if sprue_g else None
        found.append(MetalChoice(alloy, metal_g, of_sprue, prices.of(alloy.key, metal_g, own=own)))
    return found
