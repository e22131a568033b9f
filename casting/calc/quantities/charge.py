"""Wax to metal: the metal of a wax, the button of a flask, the charge to weigh out."""

from __future__ import annotations

import math

from casting.calc.quantities.lookup import by_diameter, up_to_step
from casting.calc.values.day_input import Alloy, DayInput, FlaskSize, Rules, Wax
from casting.calc.values.enums import Section
from casting.calc.values.errors import NotAWeight
from casting.calc.values.tolerances import SLACK

STERLING_SG = 10.36
"""The specific gravity that the buttons by diameter are given for."""


def metal_of(
    wax_g: float, wax_sg: float, metal_sg: float, sprue_g: float = 0.0, sprue_sg: float | None = None
) -> float:
    """Return the metal that takes the place of a wax and its sprue.

    Parameters
    ----------
    wax_g : float
        Wax and sprue together, no rubber [g].
    wax_sg, metal_sg : float
        Specific gravities of pattern and metal [g/cm3].
    sprue_g : float
        The part of `wax_g` that is a sprue of another material [g].
    sprue_sg : float, optional
        Specific gravity of that sprue [g/cm3]; the wax's own if not given.

    Returns
    -------
    float
        Metal, no button [g].

    Raises
    ------
    NotAWeight
        If the wax weighs nothing, or the sprue more than the whole.

    Notes
    -----
    Volumes add: ((wax - sprue) / its SG + sprue / its SG) x metal SG.

    Examples
    --------
    >>> round(metal_of(3.2, 0.96, 10.36), 2)
    34.53
    """
    if not wax_g > 0:
        raise NotAWeight(wax_g)
    if sprue_g < 0 or sprue_g > wax_g + SLACK:
        raise NotAWeight(sprue_g, "sprue")
    volume_ml = (wax_g - sprue_g) / wax_sg + sprue_g / (sprue_sg or wax_sg)
    return volume_ml * metal_sg


def metal_of_wax(wax: Wax, day: DayInput) -> float:
    """Return the metal of one wax of the day, no button.

    Parameters
    ----------
    wax : Wax
        A wax of the day.
    day : DayInput
        The day, for its alloys and patterns.

    Returns
    -------
    float
        Metal [g].
    """
    sprue_sg = day.patterns[wax.sprue_pattern].specific_gravity if wax.sprue_pattern else None
    return metal_of(
        wax.wax_g,
        day.patterns[wax.pattern].specific_gravity,
        day.alloys[wax.alloy].specific_gravity,
        wax.sprue_g,
        sprue_sg,
    )


def trunk_of(trunk_mm: float, length_mm: float, metal_sg: float) -> float:
    """Return the metal that takes the place of a tree's trunk.

    Parameters
    ----------
    trunk_mm, length_mm : float
        Diameter, and length from the top of the cone to where the highest sprues leave [mm].
    metal_sg : float
        Specific gravity of the metal [g/cm3].

    Returns
    -------
    float
        Metal [g].

    Examples
    --------
    >>> round(trunk_of(8, 60, 10.36), 2)
    31.25
    """
    return math.pi / 4 * trunk_mm**2 * length_mm / 1000 * metal_sg


def button_by_diameter(size: FlaskSize, alloy: Alloy, rules: Rules) -> float:
    """Return the least button of a flask.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    alloy : Alloy
        The metal.
    rules : Rules
        `button_g_by_diameter`, given for sterling.

    Returns
    -------
    float
        Button [g], scaled from sterling by specific gravity.
    """
    return by_diameter(rules.button_g_by_diameter, size.diameter_mm) * alloy.specific_gravity / STERLING_SG


def button_of(metal_g: float, heaviest: Section, size: FlaskSize, alloy: Alloy, rules: Rules) -> float:
    """Return the button of one flask, which is poured once however many waxes there are.

    Parameters
    ----------
    metal_g : float
        Metal of all the flask's waxes, and of its trunk if it has one [g].
    heaviest : Section
        The heaviest section in the flask.
    size : FlaskSize
        The flask.
    alloy : Alloy
        The metal.
    rules : Rules
        `button_pct` and `button_g_by_diameter`.

    Returns
    -------
    float
        Button [g]: a share of the metal, but at least `button_by_diameter`.
    """
    return max(metal_g * rules.button_pct[heaviest] / 100, button_by_diameter(size, alloy, rules))


def least_button_pct(thinnest: Section, heaviest: Section, rules: Rules) -> float:
    """Return the least percentage that a flask's button can be, if its heaviest section is one of a range.

    Parameters
    ----------
    thinnest, heaviest : Section
        The ends of the range.
    rules : Rules
        `button_pct`, which need not rise with the section.

    Returns
    -------
    float
        Percentage of the metal.
    """
    return min(rules.button_pct[one] for one in Section if thinnest.step <= one.step <= heaviest.step)


def charge_of(metal_g: float, button_g: float, rules: Rules) -> float:
    """Return the charge to weigh out for a flask.

    Parameters
    ----------
    metal_g, button_g : float
        Waxes with any trunk, and button, unrounded [g].
    rules : Rules
        `charge_step_g`, the step that the scale is read to.

    Returns
    -------
    float
        Charge [g], up to the next step.
    """
    return up_to_step(metal_g + button_g, rules.charge_step_g)


def charge_limit(alloy: Alloy, rules: Rules) -> float:
    """Return the most metal that one melt may hold.

    Parameters
    ----------
    alloy : Alloy
        The metal.
    rules : Rules
        `crucible_ml`, `crucible_fill_pct`, `melt_max_g`.

    Returns
    -------
    float
        The smaller of the crucible's share and the torch's limit [g].
    """
    return min(rules.crucible_ml * rules.crucible_fill_pct / 100 * alloy.specific_gravity, rules.melt_max_g)


def largest_charge(alloy: Alloy, rules: Rules) -> float:
    """Return the largest charge that fits one melt.

    Parameters
    ----------
    alloy : Alloy
        The metal.
    rules : Rules
        `charge_step_g`, and the limits that `charge_limit` reads.

    Returns
    -------
    float
        Whole steps of the scale that `fits_crucible` accepts [g]; metal with its button may come to this.
    """
    return math.floor((charge_limit(alloy, rules) + SLACK) / rules.charge_step_g + 1e-9) * rules.charge_step_g


def fits_crucible(charge_g: float, alloy: Alloy, rules: Rules) -> bool:
    """Tell whether a charge may be melted at once.

    Parameters
    ----------
    charge_g : float
        The charge, stepped [g].
    alloy : Alloy
        The metal.
    rules : Rules
        The house rules.

    Returns
    -------
    bool
        True if it is at most `charge_limit`, with the margin of 0.001 g.
    """
    return charge_g <= charge_limit(alloy, rules) + SLACK
