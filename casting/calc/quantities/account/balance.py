"""The metal of a flask: what went in, what came back, what is lost; whether a weight was read in another unit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from casting.calc.quantities.alloy import main_element
from casting.calc.values.caution_rule import Rulebook

G_PER_DWT = Decimal("1.55517384")
"""Grams of a pennyweight: a twentieth of a troy ounce of 31.1034768 g."""


@dataclass(frozen=True, slots=True)
class FlaskMetal:
    """What was weighed into a flask and what was weighed back out of it [g]."""

    charge_g: Decimal
    castings_g: Decimal = Decimal(0)
    button_g: Decimal = Decimal(0)
    sprues_g: Decimal = Decimal(0)
    sweeps_g: Decimal = Decimal(0)

    @property
    def back_g(self) -> Decimal:
        """All that was weighed back [g]."""
        return self.castings_g + self.button_g + self.sprues_g + self.sweeps_g

    @property
    def left_g(self) -> Decimal:
        """What is not weighed back: what is still in the flask, or lost; below 0 if more came back than went in [g]."""
        return self.charge_g - self.back_g

    @property
    def left_pct(self) -> Decimal:
        """What is not weighed back, of the charge [%]; 0 of no charge."""
        return _share_pct(self.left_g, self.charge_g)

    @property
    def piece_yield_pct(self) -> Decimal:
        """The castings, of the charge [%]; 0 of no charge."""
        return _share_pct(self.castings_g, self.charge_g)

    @property
    def recovery_pct(self) -> Decimal:
        """All that was weighed back, of the charge [%]; 0 of no charge."""
        return _share_pct(self.back_g, self.charge_g)


def _share_pct(part_g: Decimal, whole_g: Decimal) -> Decimal:
    return 100 * part_g / whole_g if whole_g else Decimal(0)


def loss_most_pct(composition_pct: Mapping[str, float | None], rulebook: Rulebook) -> Decimal:
    """Return the loss of a flask above which somebody looks for the metal.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        The alloy's parts by the signs of the elements [%]; none if nobody recorded them.
    rulebook : Rulebook
        The limits for gold, for silver and for other metals.

    Returns
    -------
    Decimal
        The loss [% of the charge]. An alloy of unknown parts has the narrowest of the three.
    """
    gold, silver = rulebook.limit("loss_gold_pct"), rulebook.limit("loss_silver_pct")
    other = rulebook.limit("loss_other_pct")
    main = main_element(composition_pct)
    most = {"Au": gold, "Ag": silver}.get(main, other) if main else min(gold, silver, other)
    return Decimal(str(most))


def read_in_other_unit(weighed_g: Decimal, expected_g: Decimal, rulebook: Rulebook) -> str:
    """Return the unit in which a weight may have been read in place of the one it was written in.

    Parameters
    ----------
    weighed_g : Decimal
        What was written [g].
    expected_g : Decimal
        What it should be about [g].
    rulebook : Rulebook
        How near the factor must be.

    Returns
    -------
    str
        "dwt" if pennyweights were written as grams, "g" if grams were written as pennyweights, else nothing.
    """
    if weighed_g <= 0 or expected_g <= 0:
        return ""
    within = Decimal(str(rulebook.limit("unit_slip_pct"))) / 100
    for unit, factor in (("dwt", G_PER_DWT), ("g", 1 / G_PER_DWT)):
        if abs(weighed_g * factor / expected_g - 1) <= within:
            return unit
    return ""


def fresh_pct(fresh_g: Decimal, reused_g: Decimal) -> Decimal:
    """Return the share of fresh metal.

    Parameters
    ----------
    fresh_g, reused_g : Decimal
        Fresh and re-used metal of a charge [g].

    Returns
    -------
    Decimal
        The share [%]; 0 of no metal.
    """
    return _share_pct(fresh_g, fresh_g + reused_g)


def melts_after(melts: Iterable[int]) -> int:
    """Return how often the metal of a flask has been melted once it is poured.

    Parameters
    ----------
    melts : iterable of int
        How often each metal that went in had been melted; 0 is fresh.

    Returns
    -------
    int
        One more than the most of them: a mixture counts as its oldest part.
    """
    return max(melts, default=0) + 1


def melts_most(composition_pct: Mapping[str, float | None], rulebook: Rulebook) -> int:
    """Return how often metal may have been melted that is weighed out once more.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        The alloy's parts by the signs of the elements [%]; none if nobody recorded them.
    rulebook : Rulebook
        The limits, with and without nickel.

    Returns
    -------
    int
        The most melts. An alloy of unknown parts counts as one with nickel.
    """
    nickel = composition_pct.get("Ni", 0)
    unknown = not composition_pct or nickel is None
    return int(rulebook.limit("reused_nickel_melts" if unknown or nickel else "reused_melts"))
