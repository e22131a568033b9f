"""What differs between two plan files of a day: by flask and figure, and of the day as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from casting.calc.values.enums import Do

File = Mapping[str, Any]
FIGURES = ("size", "charge_g", "powder_g", "water_g", "flask_c", "out_at")
"""What of a flask is weighed, set or kept to, and so stands on papers."""


@dataclass(frozen=True, slots=True)
class FlaskChange:
    """What changed of a flask: `was` has old figures by name, of a new flask none; tags that came, went or shifted."""

    label: str
    is_new: bool = False
    was: Mapping[str, Any] = field(default_factory=dict)
    came: tuple[str, ...] = ()
    went: tuple[str, ...] = ()
    shifted: tuple[str, ...] = ()


def changes_between(before: File, after: File) -> dict[str, FlaskChange]:
    """Return what changed of each flask of the later file that is not as it was, by label."""
    old = {flask["label"]: flask for flask in before["flasks"]}
    found = {}
    for flask in after["flasks"]:
        change = _change(old[flask["label"]], flask) if flask["label"] in old else _new(flask)
        if change.is_new or change.was or change.came or change.went or change.shifted:
            found[flask["label"]] = change
    return found


def gone_between(before: File, after: File) -> tuple[str, ...]:
    """Return the labels of flasks that the later file has no more."""
    now = {flask["label"] for flask in after["flasks"]}
    return tuple(flask["label"] for flask in before["flasks"] if flask["label"] not in now)


def _new(flask: File) -> FlaskChange:
    return FlaskChange(flask["label"], is_new=True, came=tuple(wax["key"] for wax in flask["waxes"]))


def _change(before: File, after: File) -> FlaskChange:
    was = {name: before[name] for name in FIGURES if not _same(before[name], after[name])}
    old, new = ({wax["key"]: wax for wax in flask["waxes"]} for flask in (before, after))
    spots = ("x_mm", "y_mm", "turn_deg", "z_mm", "tier")
    shifted = [key for key in new if key in old and any(new[key].get(one) != old[key].get(one) for one in spots)]
    return FlaskChange(
        after["label"],
        was=was,
        came=tuple(key for key in new if key not in old),
        went=tuple(key for key in old if key not in new),
        shifted=tuple(shifted),
    )


def _same(one: Any, other: Any) -> bool:
    """Whether two figures are the same; a time is the same at whatever offset it is written."""
    if isinstance(one, str) and "T" in one and one != other:
        return datetime.fromisoformat(one) == datetime.fromisoformat(other)
    return bool(one == other)


@dataclass(frozen=True, slots=True)
class DayFigures:
    """A plan in one line: waxes in flasks, flasks, and when its hand-in, kiln and last pour are; its cost."""

    waxes: int
    flasks: int
    hand_in_at: str | None
    kiln_on_at: str | None
    last_pour_at: str | None
    cost: float


def day_figures(plan: File) -> DayFigures:
    """Return a plan file's figures of the day as a whole; times as it has them, None where it has none."""
    at = {
        do: min((step["at"] for step in plan["steps"] if step["do"] == do), default=None, key=datetime.fromisoformat)
        for do in (Do.HAND_IN_CLOSES, Do.KILN_ON)
    }
    return DayFigures(
        waxes=sum(len(flask["waxes"]) for flask in plan["flasks"]),
        flasks=len(plan["flasks"]),
        hand_in_at=at[Do.HAND_IN_CLOSES],
        kiln_on_at=at[Do.KILN_ON],
        last_pour_at=max((flask["out_at"] for flask in plan["flasks"]), default=None, key=datetime.fromisoformat),
        cost=plan["totals"]["cost"],
    )
