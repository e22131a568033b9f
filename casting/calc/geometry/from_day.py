"""The shapes of a day's waxes and sprue bases, with the clearances of its house rules."""

from __future__ import annotations

from casting.calc.geometry.shapes import Base, Footprint, Trunk
from casting.calc.values.day_input import DayInput, FlaskSize, Rules, Wax
from casting.calc.values.enums import Kind


def room_above_mm(size: FlaskSize) -> float:
    """Return the tallest wax that a flask takes.

    Parameters
    ----------
    size : FlaskSize
        The flask.

    Returns
    -------
    float
        Height minus base, cover and rim, and on a tree minus its gap too [mm]; negative if nothing is left. In a
        perforated flask that is filled less high, up to there.

    Examples
    --------
    >>> room_above_mm(FlaskSize("64x64", 63.5, 63.5, 67, 6, 10, 24, 3, 15.875, 4))
    34.625
    """
    return size.height_mm - size.base_mm - (size.trunk_gap_mm or 0.0) - size.cover_mm - _free_mm(size)


def _free_mm(size: FlaskSize) -> float:
    """What stays free over the investment: the rim, or more where a perforated flask is filled less high [mm]."""
    return max(size.rim_mm, size.height_mm - (size.fill_mm or size.height_mm))


def trunk_of_size(size: FlaskSize) -> Trunk | None:
    """Return the trunk that a flask's base carries.

    Parameters
    ----------
    size : FlaskSize
        The flask.

    Returns
    -------
    Trunk or None
        Its thickness, and the height range for trunk and waxes [mm]; None for a cone.
    """
    if size.trunk_mm is None or size.trunk_gap_mm is None:
        return None
    return Trunk(size.trunk_mm, size.trunk_gap_mm, size.base_mm, size.height_mm - size.cover_mm - _free_mm(size))


def base_of(size: FlaskSize, rules: Rules) -> Base:
    """Return the base of a flask with the clearances of the house.

    Parameters
    ----------
    size : FlaskSize
        The flask.
    rules : Rules
        `between_mm`, `sprue_reach_mm`, `sprue_clear_mm`.

    Returns
    -------
    Base
        The base, with its trunk if it has one.
    """
    reach_mm, trunk = rules.sprue_reach_mm, trunk_of_size(size)
    return Base(size.diameter_mm, size.hub_mm, rules.between_mm, reach_mm, rules.sprue_clear_mm, trunk)


def footprint_of(wax: Wax, day: DayInput) -> Footprint:
    """Return a wax seen from above, with the wall it must keep.

    Parameters
    ----------
    wax : Wax
        A wax of the day.
    day : DayInput
        The day, for the wax's pattern and the walls.

    Returns
    -------
    Footprint
        Width, depth and wall [mm]; a resin keeps `resin_wall_mm`. Its reach may be overruled.
    """
    resin = day.patterns[wax.pattern].kind is Kind.RESIN
    wall_mm = day.rules.resin_wall_mm if resin else day.rules.wall_mm
    return Footprint(wax.width_mm, wax.depth_mm, wall_mm, any_reach=wax.key in day.reach_overruled)
