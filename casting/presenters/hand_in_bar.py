"""What the bar at the foot of the hand-in page says while a wax is typed, as far as it is understood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from casting.models import CastingDay
from casting.presenters.metal_choices import MetalChoice, metal_choices
from casting.selectors.kept_shelf import shelf_at


@dataclass(frozen=True, slots=True)
class Bar:
    """The weight that is understood, and what it comes to in each metal of the day; `chosen` is the one asked for."""

    wax_g: Decimal
    choices: Sequence[MetalChoice]
    chosen: MetalChoice | None
    own_metal: bool


def bar_of(day: CastingDay, found: Mapping[str, Any]) -> Bar | None:
    """Return what is understood of the values of a form; None before they hold a weight and a material."""
    wax_g, pattern = found.get("wax_g"), found.get("pattern")
    if wax_g is None or pattern is None:
        return None
    sprue_g = float(found.get("sprue_g") or 0)
    shelf, own, sprue = shelf_at(day.course.school), bool(found.get("own_metal")), found.get("sprue_pattern")
    metals = shelf.offered_on(day.pk)
    choices = metal_choices(float(wax_g), pattern, metals, sprue_g, sprue, shelf.prices, own=own)
    chosen = next((one for one in choices if one.alloy == found.get("alloy")), None)
    return Bar(wax_g, choices, chosen, own)
