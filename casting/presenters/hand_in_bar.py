"""What the bar at the foot of the hand-in page says while a wax is typed, as far as it is understood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Protocol

from casting.models import Alloy, CastingDay, PatternMaterial
from casting.presenters.metal_choices import MetalChoice, metal_choices


class Typed(Protocol):
    """A form of a wax, cleaned as far as it can be read."""

    day: CastingDay
    is_bound: bool
    cleaned_data: dict[str, Any]

    @property
    def errors(self) -> Any:
        """What is wrong, by the name of the field."""


@dataclass(frozen=True, slots=True)
class Bar:
    """The weight that is understood, and what it comes to in each metal of the day; `chosen` is the one asked for."""

    wax_g: Decimal
    choices: Sequence[MetalChoice]
    chosen: MetalChoice | None
    own_metal: bool


def bar_of(form: Typed) -> Bar | None:
    """Return what is understood of a form; None before it has a weight and a material."""
    found = form.cleaned_data if form.is_bound else {}
    wax_g, pattern = found.get("wax_g"), found.get("pattern")
    if not isinstance(wax_g, Decimal) or not isinstance(pattern, PatternMaterial) or "weight" in form.errors:
        return None
    sprue_g, sprue, alloy = found.get("sprue_g"), found.get("sprue_pattern"), found.get("alloy")
    choices = metal_choices(
        float(wax_g),
        pattern,
        form.day.alloys.all(),
        float(sprue_g) if isinstance(sprue_g, Decimal) else 0.0,
        sprue if isinstance(sprue, PatternMaterial) else None,
    )
    chosen = [one for one in choices if isinstance(alloy, Alloy) and one.alloy.pk == alloy.pk]
    return Bar(wax_g, choices, chosen[0] if chosen else None, bool(found.get("own_metal")))
