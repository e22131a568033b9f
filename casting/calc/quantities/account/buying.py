"""What metal to buy for a day: its charges, what melting loses, one spare charge, less what is in stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class ToBuy:
    """How much of a metal to buy, and how that comes about [g]."""

    charges_g: Decimal
    loss_g: Decimal
    spare_g: Decimal
    fresh_g: Decimal
    reused_g: Decimal
    buy_g: Decimal

    @property
    def needed_g(self) -> Decimal:
        """Charges, loss and spare together [g]."""
        return self.charges_g + self.loss_g + self.spare_g


def to_buy(
    charges_g: Sequence[Decimal], loss_pct: Decimal, fresh_g: Decimal, reusable_g: Decimal, fresh_least_pct: Decimal
) -> ToBuy:
    """Return how much fresh metal of one alloy to buy for a day.

    Parameters
    ----------
    charges_g : sequence of Decimal
        What is to be weighed out for each flask of the school's metal [g].
    loss_pct : Decimal
        What melting loses [% of the charges].
    fresh_g, reusable_g : Decimal
        Fresh and clean re-used metal in stock [g].
    fresh_least_pct : Decimal
        The least share of fresh metal in what is melted [%].

    Returns
    -------
    ToBuy
        The heaviest charge is the spare; re-used metal counts only as far as the fresh share allows. What to buy is
        rounded up to 0.1 g.

    Examples
    --------
    >>> to_buy([Decimal(27), Decimal(45)], Decimal(2), Decimal(30), Decimal(100), Decimal(50)).buy_g
    Decimal('29.3')
    """
    charges = sum(charges_g, Decimal(0))
    loss, spare = charges * loss_pct / 100, max(charges_g, default=Decimal(0))
    needed = charges + loss + spare
    reused = min(reusable_g, needed - needed * fresh_least_pct / 100)
    lacking = max(Decimal(0), needed - reused - fresh_g)
    buy = lacking.quantize(TENTH, ROUND_CEILING)
    return ToBuy(charges, loss, spare, fresh_g, reused, buy)
