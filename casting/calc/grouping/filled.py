"""Filled flasks: metal, trunk, button and charge of each flask of a grouping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.layout.tree import length_of
from casting.calc.values.day_input import FlaskSize
from casting.calc.values.day_plan import Group, Grouping
from casting.calc.values.enums import Kind, Section


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
    )
