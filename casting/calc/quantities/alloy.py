"""Specific gravity and colour of an alloy, from its composition."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from enum import StrEnum

from casting.calc.values.errors import NotAComposition
from casting.calc.values.sentence import say

NOBLE = frozenset({"Au", "Ag", "Pt", "Pd", "Rh", "Ru", "Ir", "Os"})
"""Gold, silver and the platinum metals."""


class Colour(StrEnum):
    """The colour that decides the order of pours, white first."""

    WHITE = "white"
    YELLOW = "yellow"
    RED = "red"


def specific_gravity(composition_pct: Mapping[str, float], density_g_per_cm3: Mapping[str, float]) -> float:
    """Return the specific gravity of a mixture: volumes add.

    Parameters
    ----------
    composition_pct : mapping of str to float
        Mass share of each element [%], each over 0; together 99.5 to 100.5.
    density_g_per_cm3 : mapping of str to float
        Density of each element [g/cm3].

    Returns
    -------
    float
        Specific gravity of the mixture [g/cm3].

    Raises
    ------
    NotAComposition
        If there are no parts, or an element has no density here.

    Notes
    -----
    1 / sum(mass share / density), shares taken of their own sum. Checked against the
    measured gold-silver series of T. K. Rose, The Metallurgy of Gold, Table XIV.
    Good to 1.5 % for gold-silver-copper; not valid with silicon, germanium or cobalt.

    Examples
    --------
    >>> round(specific_gravity({"Ag": 92.5, "Cu": 7.5}, {"Ag": 10.49, "Cu": 8.96}), 2)
    10.36
    """
    unknown = sorted(set(composition_pct) - set(density_g_per_cm3))
    if unknown:
        words = "No density is known for {parts:,}: give the specific gravity."
        raise NotAComposition(say(words, parts=tuple(unknown)))
    total = sum(composition_pct.values())
    if total <= 0:
        raise NotAComposition(say("An alloy needs at least one part."))
    return total / sum(share / density_g_per_cm3[part] for part, share in composition_pct.items())


def share_of_noble_metals(composition_pct: Mapping[str, float | None]) -> float:
    """Return the share of gold, silver and platinum metals, whose parts keep their volume in an alloy.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        Mass share of each element [%]; None is not recorded and counts as none.

    Returns
    -------
    float
        Their mass share [%].

    Examples
    --------
    >>> share_of_noble_metals({"Au": 50, "Ag": 12, "Cu": 32, "Zn": 6})
    62.0
    """
    return math.fsum(share or 0.0 for part, share in composition_pct.items() if part in NOBLE)


def colour(composition_pct: Mapping[str, float | None], name: str = "") -> Colour:
    """Return the colour that decides the order of pours.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        Mass share of each element [%].
    name : str
        What the school calls it; "rose" or "red" in it counts.

    Returns
    -------
    Colour
        White from 60 % silver; red from 60 % copper, and for rose gold: so called, or at
        least 30 % gold with over 3.5 times as much copper as all that pales it; else yellow.

    Notes
    -----
    Common practice: a crucible goes from white to yellow to red metals.

    Examples
    --------
    >>> colour({"Au": 58.5, "Cu": 33.5, "Ag": 8.0}).value
    'red'
    >>> colour({"Au": 58.3, "Ag": 4.0, "Cu": 31.2, "Zn": 6.4}).value
    'yellow'
    """
    silver, copper, gold = (composition_pct.get(part) or 0.0 for part in ("Ag", "Cu", "Au"))
    if silver >= 60:
        return Colour.WHITE
    pale = sum(share or 0.0 for part, share in composition_pct.items() if part not in {"Au", "Cu"})
    rose = gold >= 30 and (copper > 3.5 * pale or {"rose", "red"} & set(re.split(r"[^a-z]+", name.lower())))
    return Colour.RED if copper >= 60 or rose else Colour.YELLOW


def main_element(composition_pct: Mapping[str, float | None]) -> str:
    """Return the element of which an alloy has most.

    Parameters
    ----------
    composition_pct : mapping of str to float or None
        The alloy's parts by the signs of the elements [%]; None for a share that nobody recorded.

    Returns
    -------
    str
        Its sign, as far as is recorded; empty if nothing is.
    """
    known = {element: pct for element, pct in composition_pct.items() if pct is not None}
    return max(known, key=lambda element: known[element], default="")
