"""The finished bases of a day as they were weighed, and the charges that follow from them. Reads only.

A plan file knows the slips alone: what was weighed since is laid over any plan that has the same waxes in the flask.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from casting.calc.quantities.charge import button_of, charge_of, metal_of_wax
from casting.calc.quantities.mounted import MountedWax
from casting.calc.values.day_input import DayInput
from casting.calc.values.enums import Tick
from casting.dayfile import read_kept
from casting.models import BenchChange, CastingDay, Plan

File = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class WeighedBase:
    """A finished base on the scale: gross, and alone [g], its number if it has one, the tags of its waxes."""

    gross_g: Decimal
    base_g: Decimal
    number: str
    tags: frozenset[str]

    @classmethod
    def of(cls, figures: File) -> WeighedBase:
        """Return what a row of the database has."""
        gross_g, base_g = Decimal(figures["gross_g"]), Decimal(figures["base_g"])
        return cls(gross_g, base_g, figures.get("number", ""), frozenset(figures["tags"]))

    def as_json(self) -> dict[str, Any]:
        """Return it as a row of the database has it."""
        weights = {"gross_g": f"{self.gross_g.normalize():f}", "base_g": f"{self.base_g.normalize():f}"}
        return weights | {"number": self.number, "tags": sorted(self.tags)}

    @property
    def wax_g(self) -> Decimal:
        """The wax as mounted."""
        return self.gross_g - self.base_g


@dataclass(frozen=True, slots=True)
class MountedCharge:
    """What a finished base asks for: the metal in place of its wax, button and charge [g]."""

    base: WeighedBase
    wax: MountedWax
    button_g: float
    charge_g: float


def weighed_bases(day: CastingDay) -> dict[str, WeighedBase]:
    """Return the bases of a day that were weighed, by the label of their flask. One query."""
    noted = day.steps_done.filter(do=Tick.WEIGHED).values_list("what", "figures")
    return {label: WeighedBase.of(figures) for label, figures in noted}


def done_and_weighed(day: CastingDay, *steps: str) -> tuple[dict[str, dict[str, datetime]], dict[str, WeighedBase]]:
    """Return when these steps were done, as `CastingDay.done_at` does, and the bases that were weighed. One query."""
    done: dict[str, dict[str, datetime]] = {do: {} for do in steps}
    weighed = {}
    rows = day.steps_done.filter(do__in=[*steps, Tick.WEIGHED]).values_list("do", "what", "done_at", "figures")
    for do, what, at, figures in rows:
        if do == Tick.WEIGHED:
            weighed[what] = WeighedBase.of(figures)
        else:
            done[do][what] = at
    return done, weighed


def mounted_charges(plan: File, day: DayInput, weighed: Mapping[str, WeighedBase]) -> dict[str, MountedCharge]:
    """Return what the weighed bases ask for, by label; nothing of a flask that has other waxes since."""
    rows = {row["label"]: row for row in plan["flasks"] if row["label"] in weighed}
    return {
        label: charge_mounted(row, day, weighed[label])
        for label, row in rows.items()
        if weighed[label].tags == {wax["key"] for wax in row["waxes"]}
    }


def charge_mounted(row: File, day: DayInput, base: WeighedBase) -> MountedCharge:
    """Return what a finished base asks for in place of what the flask's row in a plan file has from the slips."""
    waxes = [day.wax(wax["key"]) for wax in row["waxes"]]
    slips_g, metal_g = sum(wax.wax_g for wax in waxes), sum(metal_of_wax(wax, day) for wax in waxes)
    wax = MountedWax(float(base.wax_g), slips_g, metal_g, row.get("trunk_g", 0.0))
    heaviest = max((one.section for one in waxes), key=lambda section: section.step)
    button_g = button_of(wax.metal_g, heaviest, day.size(row["size"]), day.alloys[row["alloy"]], day.rules)
    return MountedCharge(base, wax, button_g, round(charge_of(wax.metal_g, button_g, day.rules), 6))


def charge_on(row: File, mounted: Mapping[str, MountedCharge]) -> float:
    """Return the charge of a flask's row in a plan file [g]: as its base was weighed, else as the slips say."""
    asked = mounted.get(row["label"])
    return float(row["charge_g"] if asked is None else asked.charge_g)


def with_charges(plan: Plan, weighed: Mapping[str, WeighedBase]) -> dict[str, Any]:
    """Return a plan's file with the charges that these weighed bases ask for."""
    if not weighed:
        return plan.file
    mounted = mounted_charges(plan.file, read_kept(plan.day_file).day, weighed)
    return plan.file | {"flasks": [row | {"charge_g": charge_on(row, mounted)} for row in plan.file["flasks"]]}


def weighed_by(changes: Iterable[BenchChange], at: datetime | None = None) -> dict[str, WeighedBase]:
    """Return the bases as they were weighed at a time, from the changes of their notes in order; without one, now."""
    found = {}
    for change in changes:
        if at is None or change.at <= at:
            found[change.what] = WeighedBase.of(change.after["figures"]) if change.after else None
    return {label: base for label, base in found.items() if base is not None}


def weighings(day: CastingDay) -> list[BenchChange]:
    """Return each weighing of a base of a day, its correction or taking back, in order. One query."""
    return list(BenchChange.objects.filter(day=day, do=Tick.WEIGHED).order_by("pk"))
