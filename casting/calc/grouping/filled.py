"""Filled flasks: metal, trunk, button and charge of each flask of a grouping."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.layout.tree import length_of
from casting.calc.quantities.lookup import up_to_step
from casting.calc.values.day_input import FlaskSize
from casting.calc.values.day_plan import Group, Grouping
from casting.calc.values.enums import Kind, Section
from casting.calc.values.tolerances import PRINTED

BEYOND_STEP_MM = 0.1
"""How far a foot is beyond the reach is told in steps of this, rounded up."""


@dataclass(frozen=True, slots=True)
class FilledFlask:
    """A flask with its figures, before the clock."""

    group: Group
    size: FlaskSize
    alloy: str
    owner: str
    sections: tuple[Section, ...]
    kind: Kind
    metal_g: Mapping[str, float]
    trunk_g: float | None
    button_g: float
    charge_g: float
    by_hand: bool = False
    spots_by_hand: frozenset[str] = frozenset()
    beyond_reach: Mapping[str, tuple[float, str]] = field(default_factory=dict)


def fill_all(grouping: Grouping, rules: FlaskRules) -> dict[str, FilledFlask]:
    """Return the figures of each flask of a grouping.

    Parameters
    ----------
    grouping : Grouping
        The grouping.
    rules : FlaskRules
        The day's rules.

    Returns
    -------
    dict of str to FilledFlask
        By label; metal, button and charge [g].
    """
    return {group_.label: _fill(group_, rules) for group_ in grouping.groups}


def _fill(group_: Group, rules: FlaskRules) -> FilledFlask:
    """A flask's figures from the waxes in it."""
    keys, base = sorted(group_.places), rules.bases[group_.size]
    waxes = [rules.items[key].wax for key in keys]
    length_mm = length_of(group_.places.values(), base) if base.trunk else None
    _, trunk_g, button_g = rules.parts_g(keys, group_.size, length_mm)
    return FilledFlask(
        group=group_,
        size=rules.sizes[group_.size],
        alloy=waxes[0].alloy,
        owner=waxes[0].owner,
        sections=tuple(sorted({wax.section for wax in waxes}, key=lambda section: section.step)),
        kind=rules.kind(keys),
        metal_g={key: rules.items[key].metal_g for key in keys},
        trunk_g=trunk_g if base.trunk else None,
        button_g=button_g,
        charge_g=rules.charge_g(keys, group_.size, length_mm),
        by_hand=any(flask.label == group_.label for flask in rules.day.placed),
        spots_by_hand=frozenset(key for key in keys if rules.spots.get(key) == group_.places[key]),
        beyond_reach=_beyond_reach(group_, rules),
    )


def _beyond_reach(group_: Group, rules: FlaskRules) -> dict[str, tuple[float, str]]:
    """By how much feet stand beyond the reach, and why they may."""
    base, why = rules.bases[group_.size], rules.day.reach_overruled
    reach_mm = base.hub_mm / 2 + base.reach_mm
    beyond_mm = {key: math.hypot(at.x_mm, at.y_mm) - reach_mm for key, at in group_.places.items() if key in why}
    return {
        key: (up_to_step(far_mm, BEYOND_STEP_MM), why[key]) for key, far_mm in beyond_mm.items() if far_mm > PRINTED
    }
