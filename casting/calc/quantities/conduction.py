"""Transient conduction in a round cylinder whose surface exchanges heat: what is left of a step, and lags on a ramp.

The solution is the product of two eigenfunction series, that of an infinitely long cylinder and that of a plane wall
(F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5, from memory). Time is counted in
Fourier numbers: the diffusivity times the time, over the square of the half width.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from casting.calc.values.arrays import Floats

TERMS = 24
"""Terms of a series. What is cut off is under 0.05 % of the step from a Fourier number of 0.001 up."""

POINTS = 32
"""Points of Bessel's integrals: exact to the last digits up to the largest root of the series, 24 pi."""

HALVINGS, CORRECTIONS = 8, 4
"""Halvings of a root's bracket of pi, then corrections by Newton, which square the error: to the last digits."""

TIME_HALVINGS = 40
"""Halvings of a time's bracket: to 1e-12 of it."""


def bessel(x: Floats) -> tuple[Floats, Floats]:
    """Return the Bessel functions of the first kind of order 0 and 1, by Bessel's integrals over a quarter turn.

    Parameters
    ----------
    x : array
        The arguments, 0 to 24 pi, a pure ratio.

    Returns
    -------
    tuple of array
        Both functions at each argument, to 1e-14.

    Examples
    --------
    >>> [round(float(one), 4) for one in bessel(np.array(1.0))]
    [0.7652, 0.4401]
    """
    sines = np.sin((np.arange(POINTS) + 0.5) * math.pi / 2 / POINTS)
    waves = np.multiply.outer(x, sines)
    return np.asarray(np.cos(waves).mean(axis=-1)), np.asarray(np.sin(waves) @ sines / POINTS)


def _roots(condition: Callable[[Floats], tuple[Floats, Floats]]) -> Floats:
    """The roots of the condition at a surface, which gives its value and slope: one in each step of pi from 0 up."""
    low: Floats = np.arange(TERMS, dtype=np.float64) * math.pi
    width = math.pi
    rises = condition(low)[0] < 0
    for _ in range(HALVINGS):
        width /= 2
        short_of = (condition(low + width)[0] < 0) == rises
        low += width * short_of
    root: Floats = low + width / 2
    for _ in range(CORRECTIONS):
        value, slope = condition(root)
        root -= value / slope
    return root


@dataclass(frozen=True, slots=True, eq=False)
class Decay:
    """What is left of a step of the surroundings at one point: a sum of falling exponentials that begins at 1."""

    weights: Floats
    rates: Floats

    def left(self, time: float) -> float:
        """Return the part of the step that is left [a pure ratio] after a time [of the unit of `rates`]."""
        return float(self.weights @ np.exp(-self.rates * time))

    def lag(self, ramped: float = math.inf, held: float = 0.0) -> float:
        """Return how far the point lags [the unit of time], `held` after a ramp that lasted `ramped`.

        Times the ramp's rate it is how far the temperature is behind: Duhamel's sum of the steps that a ramp is.
        """
        return float((self.weights / self.rates) @ (np.exp(-self.rates * held) - np.exp(-self.rates * (held + ramped))))

    def time_to(self, left: float) -> float:
        """Return the time [that of `rates`] until no more than a part of the step [a pure ratio over 0] is left."""
        if left >= 1:
            return 0.0
        low, high = 0.0, float(1 / self.rates.min())
        while self.left(high) > left:
            low, high = high, 2 * high
        for _ in range(TIME_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.left(middle) > left else (low, middle)
        return high


def long_cylinder(biot: float, at: float = 0.0) -> Decay:
    """Return the decay in an infinitely long cylinder.

    Parameters
    ----------
    biot : float
        Surface exchange times radius over conductivity, a pure ratio over 0.
    at : float
        Where: 0 on the axis, 1 at the surface, a pure ratio.

    Returns
    -------
    Decay
        Its time is the Fourier number by the radius.
    """

    def condition(z: Floats) -> tuple[Floats, Floats]:
        zeroth, first = bessel(z)
        return z * first - biot * zeroth, z * zeroth + biot * first

    roots = _roots(condition)
    zeroth, first = bessel(roots)
    factors = 2 * first / (roots * (zeroth**2 + first**2))
    return Decay(factors * bessel(roots * at)[0], roots**2)


def plane_wall(biot: float, at: float = 0.0) -> Decay:
    """Return the decay in a plane wall that both faces heat, or in the half of it whose middle is insulated.

    Parameters
    ----------
    biot : float
        Surface exchange times half the thickness over conductivity, a pure ratio over 0.
    at : float
        Where: 0 in the middle, 1 at a face, a pure ratio.

    Returns
    -------
    Decay
        Its time is the Fourier number by half the thickness.
    """
    roots = _roots(lambda z: (z * np.sin(z) - biot * np.cos(z), z * np.cos(z) + (1 + biot) * np.sin(z)))
    factors = 4 * np.sin(roots) / (2 * roots + np.sin(2 * roots))
    return Decay(factors * np.cos(roots * at), roots**2)


def product(one: Decay, one_per_min: float, other: Decay, other_per_min: float) -> Decay:
    """Return the decay in the body where two shapes cross, as a short cylinder is a long one and a wall.

    Parameters
    ----------
    one, other : Decay
        Those of the two shapes.
    one_per_min, other_per_min : float
        Their Fourier numbers in a minute [1/min].

    Returns
    -------
    Decay
        Its time is in minutes [min].
    """
    rates = np.add.outer(one.rates * one_per_min, other.rates * other_per_min)
    return Decay(np.multiply.outer(one.weights, other.weights).ravel(), rates.ravel())
