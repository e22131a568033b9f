"""Powder, water and slurry of an investment."""

from __future__ import annotations

import math

from casting.calc.quantities.lookup import up_to_step
from casting.calc.values.day_input import FlaskSize, Investment
from casting.calc.values.errors import NotASize

WATER_G_PER_ML = 0.998
"""Density of water at room temperature (22 C: 0.9978, IAPWS-95); a definition of the contract."""


def volume_ml(diameter_mm: float, height_mm: float) -> float:
    """Return the volume of an empty flask.

    Parameters
    ----------
    diameter_mm, height_mm : float
        Inside dimensions [mm].

    Returns
    -------
    float
        Volume [ml].

    Raises
    ------
    NotASize
        If either is not over 0.

    Examples
    --------
    >>> round(volume_ml(63.5, 63.5), 1)
    201.1
    """
    for size, what in ((diameter_mm, "inside diameter"), (height_mm, "height")):
        if not size > 0:
            raise NotASize(size, what)
    return math.pi / 4 * diameter_mm**2 * height_mm / 1000


def slurry_ml_per_g(investment: Investment) -> float:
    """Return the slurry that one gram of powder gives with its water.

    Parameters
    ----------
    investment : Investment
        The powder.

    Returns
    -------
    float
        Slurry [ml per g of powder]: 1 / SG + water / 100 / 0.998 (volumes add).
    """
    return 1 / investment.specific_gravity + investment.water_per_100 / 100 / WATER_G_PER_ML


def powder_bare(size: FlaskSize, investment: Investment) -> float:
    """Return the powder that just fills a flask, without allowance; the waxes are not subtracted.

    A perforated flask is filled as far as its sleeve and up to its fill height; the steel between is not subtracted.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    investment : Investment
        The powder.

    Returns
    -------
    float
        Powder, unrounded [g].
    """
    return volume_ml(*size.filled_mm) / slurry_ml_per_g(investment)


def powder_for(size: FlaskSize, investment: Investment) -> int:
    """Return the powder to weigh out for a flask, with the allowance.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    investment : Investment
        The powder, with its `allowance_pct`.

    Returns
    -------
    int
        Powder, rounded up to a whole gram [g]. The waxes are not subtracted: a margin.
    """
    return round(up_to_step(powder_bare(size, investment) * (1 + investment.allowance_pct / 100), 1))


def water_for(powder_g: float, investment: Investment) -> float:
    """Return the water for a weight of powder.

    Parameters
    ----------
    powder_g : float
        Powder [g].
    investment : Investment
        The powder, with its `water_per_100`.

    Returns
    -------
    float
        Water [g], unrounded.
    """
    return powder_g * investment.water_per_100 / 100


def water_per_100_of(water_g: float, powder_g: float) -> float:
    """Return how much water a mix has for its powder, as `water_per_100` of an investment says it.

    Parameters
    ----------
    water_g, powder_g : float
        As weighed [g].

    Returns
    -------
    float
        Water [g to 100 g of powder].

    Examples
    --------
    >>> water_per_100_of(72.8, 182)
    40.0
    """
    return 100 * water_g / powder_g


def slurry_ml(powder_g: float, investment: Investment) -> float:
    """Return the slurry of a weight of powder mixed with its water.

    Parameters
    ----------
    powder_g : float
        Powder [g].
    investment : Investment
        The powder.

    Returns
    -------
    float
        Slurry [ml].
    """
    return powder_g * slurry_ml_per_g(investment)
