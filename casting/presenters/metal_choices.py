"""What a wax would take and cost in each metal that its day offers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from casting.calc.quantities.charge import metal_of
from casting.models import Alloy, PatternMaterial
from casting.presenters.wax_in_flask import cost_of


@dataclass(frozen=True, slots=True)
class MetalChoice:
    """One metal: the grams of the wax with its sprue in it, those of the sprue apart if it was weighed, the cost.

    The cost is None if nobody recorded a price; no button is counted.
    """

    alloy: Alloy
    metal_g: float
    sprue_metal_g: float | None
    cost: float | None


def metal_choices(
    wax_g: float, pattern: PatternMaterial, alloys: Iterable[Alloy], sprue_g: float, sprue: PatternMaterial | None
) -> list[MetalChoice]:
    """Return the choices for a wax of `wax_g` with its sprue [g], in the order of the metals."""
    return [_choice(alloy, wax_g, pattern.specific_gravity, sprue_g, sprue) for alloy in alloys]


def _choice(alloy: Alloy, wax_g: float, wax_sg: float, sprue_g: float, sprue: PatternMaterial | None) -> MetalChoice:
    sprue_sg = sprue.specific_gravity if sprue else None
    metal_g = metal_of(wax_g, wax_sg, alloy.specific_gravity, sprue_g, sprue_sg)
    of_sprue = metal_of(sprue_g, sprue_sg or wax_sg, alloy.specific_gravity) if sprue_g else None
    return MetalChoice(alloy, metal_g, of_sprue, cost_of(metal_g, alloy.price_per_g))
