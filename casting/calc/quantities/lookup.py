"""Look-ups in a shelf's tables: rounding up to a step, and a row by flask diameter."""

from __future__ import annotations

import math
from collections.abc import Iterable

from casting.calc.values.tolerances import SLACK


def up_to_step(value: float, step: float) -> float:
    """Return the value up to the next whole step.

    Parameters
    ----------
    value : float
        Any quantity, in the unit of the step.
    step : float
        The step, over 0.

    Returns
    -------
    float
        `ceil(value / step - 1e-9) x step`, so that what fits exactly stays.

    Examples
    --------
    >>> up_to_step(49.53, 0.5)
    50.0
    """
    return math.ceil(value / step - 1e-9) * step


def by_diameter(rows: Iterable[tuple[float, float]], diameter_mm: float) -> float:
    """Return the value of the first row at least as large; beyond the table, the last row's.

    Parameters
    ----------
    rows : iterable of (float, float)
        Diameters, ascending [mm], each with its value.
    diameter_mm : float
        Inside diameter of the flask [mm].

    Returns
    -------
    float
        The row's value.

    Examples
    --------
    >>> by_diameter([(51, 10), (64, 15)], 63.5)
    15
    """
    value = math.nan
    for largest, value in rows:
        if diameter_mm <= largest + SLACK:
            return value
    return value
