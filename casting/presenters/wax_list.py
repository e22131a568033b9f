"""The waxes of a day as a teacher lists them: sums by metal, one metal alone, and in which order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from casting.models import Alloy, Wax
from casting.presenters.wax_preview import WaxAnswer

ORDERS: Mapping[str, Any] = {
    "tag": lambda wax: wax.tag,
    "student": lambda wax: (wax.student.called.casefold(), wax.tag),
    "metal": lambda wax: (wax.alloy.name.casefold(), wax.tag),
    "weight": lambda wax: (-wax.wax_g, wax.tag),
}
"""What the list can be ordered by."""


@dataclass(frozen=True, slots=True)
class MetalSum:
    """The waxes of one metal: how many, what they weigh in g, and the metal that they take without buttons.

    `metal_g` is None while the metal of one of them cannot be worked out.
    """

    alloy: Alloy
    count: int
    wax_g: Decimal
    metal_g: float | None


def sums_of(waxes: Iterable[Wax], answers: Mapping[str, WaxAnswer]) -> list[MetalSum]:
    """Return the sums of each metal, by its name."""
    by_metal: dict[int, list[Wax]] = {}
    for wax in waxes:
        by_metal.setdefault(wax.alloy_id, []).append(wax)
    sums = [
        MetalSum(
            alloy=own[0].alloy,
            count=len(own),
            wax_g=sum((wax.wax_g for wax in own), Decimal(0)),
            metal_g=_metal_of(own, answers),
        )
        for own in by_metal.values()
    ]
    return sorted(sums, key=lambda each: each.alloy.name.casefold())


def _metal_of(waxes: Sequence[Wax], answers: Mapping[str, WaxAnswer]) -> float | None:
    if not all(wax.tag in answers for wax in waxes):
        return None
    return sum(answers[wax.tag].metal_g for wax in waxes)


def listed(waxes: Iterable[Wax], metal: str, order: str) -> list[Wax]:
    """Return the waxes of a metal (of all metals if it has none of them) in an order of `ORDERS`, else by tag."""
    all_of_them = list(waxes)
    own = [wax for wax in all_of_them if wax.alloy.key == metal] or all_of_them
    return sorted(own, key=ORDERS.get(order, ORDERS["tag"]))
