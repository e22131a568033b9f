"""Heat in a flask: how far its core is behind the kiln, what it loses out of it, and what it still has at the quench.

The flask counts as a bare cylinder of investment, as wide and high as it is inside, whose lower end the shelf or the
table closes. Its steel is in the exchange at its surface, which is fitted to runs with a steel wall. The conductivity
of plaster is uncertain: the slow end counts for the core's lag, the fast end where a flask must not lose its heat.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from casting.calc.quantities.conduction import Decay, long_cylinder, plane_wall, product
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import COLD_C, FlaskSize
from casting.calc.values.day_plan import FiredSegment

S_PER_MIN = 60


def settle_min(size: FlaskSize, fall_c: float, book: Rulebook) -> float:
    """Return how long a flask's core takes to come near its kiln.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    fall_c : float
        How far the kiln fell, counted as if it fell at once [degrees C].
    book : Rulebook
        Holds how near, and the figures of the investment.

    Returns
    -------
    float
        From when the kiln is there until the core is within `core_within_c` of it [min], 0 after a smaller fall.
    """
    within_c = book.limit("core_within_c")
    return _settle_min(_in_kiln(size, book), within_c / fall_c) if fall_c > within_c else 0.0


def core_behind_c(size: FlaskSize, segments: Iterable[FiredSegment], at_min: float, book: Rulebook) -> float:
    """Return how far a flask's core is behind its kiln during a firing; the drying of the flask is not counted.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    segments : iterable of FiredSegment
        What the kiln runs from cold on, in order; what begins later does not matter.
    at_min : float
        When, on the clock of the segments [min].
    book : Rulebook
        Holds the figures of the investment.

    Returns
    -------
    float
        How much colder the core is than the kiln; below 0 while it is hotter [degrees C].
    """
    core, behind_c, now_c = _in_kiln(size, book), 0.0, float(COLD_C)
    for one in segments:
        ramp_min = min(one.reached_at, at_min) - one.starts_at
        if ramp_min > 0:
            per_min = (one.to_c - now_c) / (one.reached_at - one.starts_at)
            behind_c += per_min * core.lag(ramp_min, max(0.0, at_min - one.reached_at))
        now_c = one.to_c
    return behind_c


def core_out_c(size: FlaskSize, flask_c: float, out_min: float, book: Rulebook) -> float:
    """Return how hot a flask's core still is after it has stood in air.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    flask_c : float
        Its temperature in the kiln [degrees C].
    out_min : float
        How long it has been out of the kiln [min].
    book : Rulebook
        Holds the figures of the investment.

    Returns
    -------
    float
        By the slow end of the diffusivity, without the heat of the metal [degrees C].
    """
    return COLD_C + (flask_c - COLD_C) * _in_air(size, book.limit("plaster_slow_mm2_per_s"), book).left(out_min)


def core_out_min(size: FlaskSize, flask_c: float, to_c: float, book: Rulebook) -> float:
    """Return how long a flask stands in air until its core has cooled, as `core_out_c` counts.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    flask_c : float
        Its temperature in the kiln [degrees C].
    to_c : float
        The temperature of the core to wait for, over that of the room [degrees C].
    book : Rulebook
        Holds the figures of the investment.

    Returns
    -------
    float
        From the kiln on [min].
    """
    left = (to_c - COLD_C) / (flask_c - COLD_C) if flask_c > to_c else 1.0
    return _in_air(size, book.limit("plaster_slow_mm2_per_s"), book).time_to(left)


def hot_at_quench(size: FlaskSize, flask_c: float, out_min: float, book: Rulebook) -> tuple[float, float] | None:
    """Return how hot a flask's core still is at its quench, if that is too hot, and when it no longer is.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    flask_c : float
        Its temperature in the kiln [degrees C].
    out_min : float
        How long it has been out of the kiln at its quench [min].
    book : Rulebook
        Holds the temperature that is too hot, and the figures of the investment.

    Returns
    -------
    tuple of float or None
        The core [degrees C], and how long after it leaves the kiln it may be quenched [min]; None if it is cool
        enough. Both as `core_out_c` counts.
    """
    most_c = book.limit("quench_core_most_c")
    core_c = core_out_c(size, flask_c, out_min, book)
    return (core_c, core_out_min(size, flask_c, most_c, book)) if core_c > most_c else None


def lost_c(size: FlaskSize, flask_c: float, out_min: float, book: Rulebook, depth_mm: float | None = None) -> float:
    """Return how much heat a flask has lost out of the kiln.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    flask_c : float
        Its temperature in the kiln [degrees C].
    out_min : float
        How long it has been out of the kiln [min].
    book : Rulebook
        Holds the figures of the investment.
    depth_mm : float, optional
        How deep in its side, half way up [mm]; without it, in its core.

    Returns
    -------
    float
        The fall there [degrees C]: in the core by the fast end of the diffusivity, as that loses more; near the
        steel by the slow end, for which the exchange is fitted.
    """
    end_mm2_per_s = book.limit("plaster_fast_mm2_per_s" if depth_mm is None else "plaster_slow_mm2_per_s")
    return (flask_c - COLD_C) * (1 - _in_air(size, end_mm2_per_s, book, depth_mm).left(out_min))


def _in_kiln(size: FlaskSize, book: Rulebook) -> Decay:
    exchange, slow = book.limit("flask_kiln_w_per_m2_k"), book.limit("plaster_slow_mm2_per_s")
    return _decay(size.diameter_mm, size.height_mm, slow, book.limit("plaster_mj_per_m3_k"), exchange)


def _in_air(size: FlaskSize, mm2_per_s: float, book: Rulebook, depth_mm: float | None = None) -> Decay:
    exchange = book.limit("flask_air_w_per_m2_k")
    return _decay(size.diameter_mm, size.height_mm, mm2_per_s, book.limit("plaster_mj_per_m3_k"), exchange, depth_mm)


@lru_cache(maxsize=4096)
def _settle_min(core: Decay, left: float) -> float:
    """The clock asks it again and again: for each flask of each way to load the kilns."""
    return core.time_to(left)


@lru_cache(maxsize=512)
def _decay(
    diameter_mm: float,
    height_mm: float,
    mm2_per_s: float,
    mj_per_m3_k: float,
    w_per_m2_k: float,
    depth_mm: float | None = None,
) -> Decay:
    """The decay in the core, which is on the axis at the closed end; or so deep in the side, half way up."""
    radius_mm = diameter_mm / 2
    per_mm = w_per_m2_k / (mm2_per_s * mj_per_m3_k) / 1000  # mm2/s x MJ/(m3 K) = W/(m K)
    across, along = (0.0, 0.0) if depth_mm is None else (1 - depth_mm / radius_mm, 0.5)
    side, end = long_cylinder(per_mm * radius_mm, across), plane_wall(per_mm * height_mm, along)
    per_min = S_PER_MIN * mm2_per_s
    return product(side, per_min / radius_mm**2, end, per_min / height_mm**2)
