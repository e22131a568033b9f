"""What the bench says of a wax before any plan: the metal it takes, and whether it can stand at all."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.quantities.charge import metal_of
from casting.calc.values.day_plan import LeftOut
from casting.calc.values.errors import Refused
from casting.dayfile import read
from casting.models import CastingDay, Wax
from casting.models.wax_entry import WaxEntry
from casting.presenters.formats import SchoolUnits, in_units, units_of
from casting.selectors.day_file import NotPlanned, shelf_of
from school.models import Student

NEW = "new"
"""Stands for the tag of a wax that has none yet."""


@dataclass(frozen=True, slots=True)
class Told:
    """The metal of one wax without button, and why no flask can take it, if so."""

    metal_g: float
    left_out: LeftOut | None


def told_of(day: CastingDay, waxes: Iterable[Wax]) -> Mapping[str, Told]:
    """What is said of each wax, by its tag; nothing is written.

    Raises `Refused` if one of them is no wax at all, as one heavier than a solid block.
    """
    listed = list(waxes)
    file = day.to_day() | shelf_of(day, listed) | {"waxes": [wax.to_day() for wax in listed]}
    file.pop("hours", None)
    return told_in(json.dumps(file), units_of(day.course.school))


def told_in(day_file: str, units: SchoolUnits) -> Mapping[str, Told]:
    """What is said of each wax of a day file, by its tag, in the school's units; raises `Refused` as planning would."""
    rules = FlaskRules(read(day_file).day)
    return {key: Told(item.metal_g, _barred(rules, key, units)) for key, item in rules.items.items()}


def _barred(rules: FlaskRules, key: str, units: SchoolUnits) -> LeftOut | None:
    why = exclusion_reason(rules, key)
    return replace(why, detail=in_units(why.detail, units)) if why else None


@dataclass(frozen=True, slots=True)
class Understood:
    """An entry as it was understood, before it is written."""

    entry: WaxEntry
    metal_g: float
    left_out: LeftOut | None


def understand(day: CastingDay, student: Student, entry: WaxEntry) -> Understood:
    """What is said of an entry; raises `Refused` if it is no wax at all.

    What is wrong with the school's shelf keeps no student from handing in: then the metal
    alone is said, and the teacher is told at the desk.
    """
    wax = Wax(day=day, student=student, tag=NEW, **entry.columns())
    try:
        told = told_of(day, [wax])[NEW]
    except Refused as refusal:
        if refusal.place.startswith("waxes["):
            raise
    except NotPlanned:
        pass
    else:
        return Understood(entry, told.metal_g, told.left_out)
    sprue_sg = entry.sprue_pattern.specific_gravity if entry.sprue_pattern else None
    metal_g = metal_of(
        float(entry.wax_g),
        entry.pattern.specific_gravity,
        entry.alloy.specific_gravity,
        float(entry.sprue_g),
        sprue_sg,
    )
    return Understood(entry, metal_g, None)
