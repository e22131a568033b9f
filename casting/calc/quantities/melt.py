"""What a melt takes: the heat in an alloy, the minutes of a torch, the cup that a charge is melted in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from casting.calc.values.day_input import COLD_C, Alloy, Rules
from casting.calc.values.tolerances import SLACK

UNRECORDED = "Cu"
"""A part that nobody recorded, or whose heat is not known, counts as copper: no other main metal takes as much."""


@dataclass(frozen=True, slots=True)
class ElementHeat:
    """Heat to melt an element: mean heat capacities of solid and liquid [J/(g K)], heat of fusion [J/g]."""

    solid_j_per_g_k: float
    fusion_j_per_g: float
    liquid_j_per_g_k: float

    def to(self, liquidus_c: float, pour_c: float, start_c: float = COLD_C) -> float:
        """The heat that takes it from `start_c` through the alloy's liquidus to the pour [J/g]."""
        solid = self.solid_j_per_g_k * (liquidus_c - start_c)
        return solid + self.fusion_j_per_g + self.liquid_j_per_g_k * (pour_c - liquidus_c)


def heat_to_pour(
    composition_pct: Mapping[str, float | None],
    liquidus_c: float,
    pour_c: float,
    heats: Mapping[str, ElementHeat],
    start_c: float = COLD_C,
) -> float:
    """Return the heat that takes cold metal to its pour temperature.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        Mass share of each element [%]; None is not recorded.
    liquidus_c, pour_c : float
        Where all is melted, and where it is poured [degrees C].
    heats : mapping of str to ElementHeat
        By element; copper among them.
    start_c : float
        Temperature of the cold metal [degrees C].

    Returns
    -------
    float
        Heat [J/g]: heat of the solid up to the liquidus, of fusion, of the liquid.

    Notes
    -----
    Heats add by mass share (Kopp and Neumann's rule for solids); the heat of mixing, some tens
    of J/g, is left out. What the shares lack of 100 % counts as copper, and so does an element
    that `heats` does not have: a melt is rather planned too long.

    Examples
    --------
    >>> heats = {"Ag": ElementHeat(0.26, 104.8, 0.318), "Cu": ElementHeat(0.429, 208.7, 0.494)}
    >>> round(heat_to_pour({"Ag": 92.5, "Cu": 7.5}, 893, 970, heats))
    376
    """
    shares = {part: share for part, share in composition_pct.items() if share}
    total = max(sum(shares.values()), 100.0)
    other = heats[UNRECORDED].to(liquidus_c, pour_c, start_c)
    known = {part: heats[part].to(liquidus_c, pour_c, start_c) for part in shares if part in heats}
    return other + sum(shares[part] / total * (heat - other) for part, heat in known.items())


def melt_min(charge_g: float, alloy: Alloy, rules: Rules) -> float:
    """Return how long a melt takes in a cup that is hot.

    Parameters
    ----------
    charge_g : float
        The charge [g].
    alloy : Alloy
        The metal, with `melt_j_per_g`.
    rules : Rules
        `melt_set_up_min` and `melt_w`, or `melter_min`.

    Returns
    -------
    float
        Time from an empty cup to metal that may be poured [min], unrounded. A melter with a
        time of its own takes that time, whatever the charge.

    Examples
    --------
    100 g of 376 J/g at 400 W melt in 1.57 min, after 3 min of setting up.
    """
    if rules.melter_min is not None:
        return rules.melter_min
    return rules.melt_set_up_min + charge_g * alloy.melt_j_per_g / rules.melt_w / 60


def cups_ml(rules: Rules) -> tuple[float, ...]:
    """Return what the crucibles hold.

    Parameters
    ----------
    rules : Rules
        `crucible_ml`, the largest, and `crucibles_ml`, those beside it.

    Returns
    -------
    tuple of float
        Each size once, the smallest first [ml].
    """
    return tuple(sorted({*rules.crucibles_ml, rules.crucible_ml}))


def cup_for(charge_g: float, alloy: Alloy, rules: Rules) -> float:
    """Return the crucible that a charge is melted in.

    Parameters
    ----------
    charge_g : float
        The charge [g].
    alloy : Alloy
        The metal.
    rules : Rules
        The crucibles, and `crucible_fill_pct`, the share of one that a melt may fill.

    Returns
    -------
    float
        The smallest that it fits, or the largest [ml].
    """
    needed_ml = (charge_g - SLACK) / alloy.specific_gravity * 100 / rules.crucible_fill_pct
    return next((cup for cup in cups_ml(rules) if cup >= needed_ml), rules.crucible_ml)
