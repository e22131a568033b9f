"""Temperatures in a sentence, marked so that whoever shows the sentence can put them on the school's scale.

A marked figure is digits, one of two no-break spaces and its unit. The space says which way it is rounded on
another scale: `DOWN` for what is planned, or must not be passed; `UP` for what has to be reached, or has passed a
limit. So a figure over its limit stays over it, and one under it stays under. No name keeps either space (`named`),
so nothing that a school has typed is ever taken for a figure.
"""

from __future__ import annotations

import re

DOWN, UP = "\u202f", "\u00a0"
HEAT, WARMER, RAMP = "°C", "degrees C", "°C/h"
"""The units: a temperature, a difference of two, a difference an hour."""

MARKED = re.compile(rf"(-?\d+(?:\.\d+)?)([{DOWN}{UP}])({RAMP}|{HEAT}|{WARMER})")


def heat(celsius: float) -> str:
    """Return a planned temperature for a sentence.

    Parameters
    ----------
    celsius : float
        Temperature [degrees C].

    Returns
    -------
    str
        Marked, to be rounded down.
    """
    return f"{celsius:g}{DOWN}{HEAT}"


def ramp(celsius_per_h: float) -> str:
    """Return a planned ramp for a sentence.

    Parameters
    ----------
    celsius_per_h : float
        Rate [degrees C per hour].

    Returns
    -------
    str
        Marked, to be rounded down.
    """
    return f"{celsius_per_h:g}{DOWN}{RAMP}"


def named(name: str) -> str:
    """Return a name or key as a sentence may hold it.

    Parameters
    ----------
    name : str
        What a school has typed.

    Returns
    -------
    str
        With plain spaces for the two that mark figures.
    """
    return name.replace(DOWN, " ").replace(UP, " ")
