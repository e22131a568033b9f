"""The board as it stands: the steps done on it, what the teacher keeps, the flasks of a plan as a day file places them.

Reads only.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from casting.models import BoardStep, CastingDay

PLACE = ("key", "x_mm", "y_mm", "turn_deg", "z_mm", "tier")
"""What a day file says of a wax that is placed, as a plan file does; the last two on a tree alone."""
RETURNS = (BoardStep.Did.UNDO, BoardStep.Did.REDO)


@dataclass(frozen=True, slots=True)
class Kept:
    """What a teacher keeps beside waxes in their flasks: flasks as they are, waxes on their spots, waxes left out."""

    flasks: frozenset[str] = frozenset()
    spots: frozenset[str] = frozenset()
    out: frozenset[str] = frozenset()
    reach: Mapping[str, str] = field(default_factory=dict)
    """Why a wax may stand beyond the reach of the cone, by tag."""
    broken: frozenset[str] = frozenset()
    """Waxes that broke on the bench; they are left out too."""
    lost: Mapping[str, int] = field(default_factory=dict)
    """How many flasks of a size leak or are broken today."""
    spilled: tuple[Mapping[str, Any], ...] = ()
    """Bowls that spilled, as a day file has them."""

    @classmethod
    def of(cls, step: BoardStep | None) -> Kept:
        """Return what is kept after a step; nothing before the first."""
        return cls.read(step.kept if step else {})

    @classmethod
    def read(cls, kept: Mapping[str, Any]) -> Kept:
        """Return what a row of the database has."""
        flasks, spots, out = (frozenset(kept.get(name, ())) for name in ("flasks", "spots", "out"))
        accidents = frozenset(kept.get("broken", ())), kept.get("lost", {}), tuple(kept.get("spilled", ()))
        return cls(flasks, spots, out, kept.get("reach", {}), *accidents)

    def with_accidents_of(self, now: Kept) -> Kept:
        """Return the same, with what is broken, leaks or spilled now: nothing that is brought back mends it."""
        lost = {size: max(self.lost.get(size, 0), now.lost.get(size, 0)) for size in {**self.lost, **now.lost}}
        broken = self.broken | now.broken
        return replace(self, out=self.out | broken, broken=broken, lost=lost, spilled=now.spilled)

    def as_json(self) -> dict[str, Any]:
        """Return it as a row of the database has it."""
        lists = {"flasks": sorted(self.flasks), "spots": sorted(self.spots), "out": sorted(self.out)}
        more: dict[str, Any] = {"reach": dict(self.reach), "broken": sorted(self.broken)}
        more |= {"lost": dict(self.lost), "spilled": list(self.spilled)}
        return lists | {name: part for name, part in more.items() if part}


def last_step(day: CastingDay) -> BoardStep | None:
    """The day's last step; None if no plan was made by hand. One query."""
    steps = BoardStep.objects.filter(day=day).select_related("plan", "by", "shows__before", "before")
    return steps.order_by("-pk").first()


def kept_now(day: CastingDay) -> Kept:
    """What the teacher keeps after the day's last step. One query."""
    return Kept.read(BoardStep.objects.filter(day=day).order_by("-pk").values_list("kept", flat=True).first() or {})


def shown_by(step: BoardStep) -> BoardStep:
    """The step whose board a step shows: itself, unless it is an undo or a redo."""
    return step.shows or step


def undo_to(step: BoardStep | None) -> BoardStep | None:
    """The step whose board an undo would bring back."""
    return shown_by(step).before if step else None


def redo_to(step: BoardStep | None) -> BoardStep | None:
    """The step whose board a redo would bring back: only after an undo, as whatever else is done ends that."""
    if step is None or step.did not in RETURNS:
        return None
    return BoardStep.objects.filter(before=shown_by(step), shows=None).order_by("-pk").first()


def rows_placed(plan_file: Mapping[str, Any], there: Collection[str]) -> list[dict[str, Any]]:
    """The flasks of a plan file as a day file places them, each whole; `there` are the tags that the day still has.

    A wax whose neighbours are gone stands on the axis, as whatever is alone on a cone does.
    """
    rows = []
    for flask in plan_file["flasks"]:
        waxes = [{name: wax[name] for name in PLACE if name in wax} for wax in flask["waxes"] if wax["key"] in there]
        if len(waxes) == 1 < len(flask["waxes"]) and "tier" not in waxes[0]:
            waxes[0] |= {"x_mm": 0.0, "y_mm": 0.0}
        if waxes:
            rows.append({"label": flask["label"], "size": flask["size"], "whole": True, "waxes": waxes})
    return rows


def flasks_that_lost(plan_file: Mapping[str, Any], there: Collection[str]) -> frozenset[str]:
    """The labels of flasks of a plan file of which a wax is gone; `there` are the tags that the day still has."""
    return frozenset(
        flask["label"] for flask in plan_file["flasks"] if any(wax["key"] not in there for wax in flask["waxes"])
    )


def rows_kept(
    plan_file: Mapping[str, Any], kept: Kept, there: Collection[str], fixed: Collection[str]
) -> list[dict[str, Any]]:
    """What a search must leave alone: flasks kept as they are whole, of others the waxes on kept spots.

    One wax kept off the axis keeps those that stand with it, wherever in the flask: alone it would have to stand on the
    axis. A flask on the bench that was placed by hand keeps the spots that it was invested with. A tree stands as a
    whole or not at all; of one that lost a wax the search lays the others out anew.
    """
    lost = flasks_that_lost(plan_file, there)
    by_hand = {flask["label"] for flask in plan_file["flasks"] if flask.get("by_hand") and flask["label"] in fixed}
    rows = []
    for row in rows_placed(plan_file, there):
        on_spot = [wax for wax in row["waxes"] if wax["key"] in kept.spots]
        if row["label"] in by_hand or (row["label"] in kept.flasks and row["label"] not in fixed):
            anew = row["label"] in lost and "tier" in row["waxes"][0]
            rows.append(row | {"waxes": [{"key": wax["key"]} for wax in row["waxes"]]} if anew else row)
        elif on_spot and row["label"] not in fixed and "tier" not in on_spot[0]:
            mates = [{"key": wax["key"]} for wax in row["waxes"] if wax["key"] not in kept.spots]
            off_axis = len(on_spot) == 1 and (on_spot[0]["x_mm"], on_spot[0]["y_mm"]) != (0, 0)
            rows.append(row | {"whole": False, "waxes": on_spot + (mates if off_axis else [])})
    return rows
