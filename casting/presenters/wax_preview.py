"""The answer for a wax before any plan: the metal it takes, and whether any flask can take it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.left_out import exclusion_reason
from casting.calc.quantities.charge import metal_of
from casting.calc.quantities.sprue import Sprues, sprues_for
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_input import Wax as DayWax
from casting.calc.values.day_plan import LeftOut
from casting.calc.values.errors import Refused
from casting.dayfile import day_of_kept
from casting.models import CastingDay, Wax
from casting.models.errors import NotPlanned
from casting.models.wax_entry import WaxEntry
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.sprue import sprue_sentences
from casting.presenters.wording import in_units
from casting.selectors.day_file import shelf_of
from school.models import Student

NEW = "new"
"""The tag of a wax that has none yet."""


@dataclass(frozen=True, slots=True)
class WaxAnswer:
    """The metal of one wax without button, why no flask can take it, if so, and the sprues that it asks for."""

    metal_g: float
    left_out: LeftOut | None
    sprue_sentences: tuple[str, ...]


def answers_for(day: CastingDay, waxes: Iterable[Wax]) -> Mapping[str, WaxAnswer]:
    """Return the answer for each wax, by its tag; nothing is written.

    Raises `Refused` if one of them is no wax at all, as one heavier than a solid block.
    """
    listed = list(waxes)
    values = day.to_day() | shelf_of(day, listed) | {"waxes": [wax.to_day() for wax in listed]}
    values.pop("hours", None)
    return answers_in(values, units_of(day.course.school))


def answers_in(values: Mapping[str, Any], units: SchoolUnits) -> Mapping[str, WaxAnswer]:
    """Return the answer for each wax of a day file's values, by its tag, in the school's units.

    Raises `Refused` as planning would.
    """
    rules = FlaskRules(day_of_kept(values).day)
    return {
        key: WaxAnswer(item.metal_g, _barred(rules, key, units), sprue_sentences(_sprues(rules.day, item.wax), units))
        for key, item in rules.items.items()
    }


def _sprues(day: DayInput, wax: DayWax) -> Sprues:
    return sprues_for(wax, day.patterns[wax.pattern].specific_gravity, day.rulebook)


def _barred(rules: FlaskRules, key: str, units: SchoolUnits) -> LeftOut | None:
    why = exclusion_reason(rules, key)
    if why is None:
        return None
    return replace(why, detail=in_units(why.detail, units), cure=why.cure and in_units(why.cure, units))


@dataclass(frozen=True, slots=True)
class WaxPreview(WaxAnswer):
    """An entry as the program reads it, before it is written, with the answer for its wax."""

    entry: WaxEntry


def preview_of(day: CastingDay, student: Student, entry: WaxEntry) -> WaxPreview:
    """Return the preview of an entry; raises `Refused` if it is no wax at all.

    A fault on the school's shelf keeps no student from handing in: the preview then has
    the metal alone, and the teacher reads of the fault at the desk.
    """
    wax = Wax(day=day, student=student, tag=NEW, **entry.columns())
    try:
        answer = answers_for(day, [wax])[NEW]
    except Refused as refusal:
        if refusal.place.startswith("waxes["):
            raise
    except NotPlanned:
        pass
    else:
        return WaxPreview(answer.metal_g, answer.left_out, answer.sprue_sentences, entry)
    sprue_sg = entry.sprue_pattern.specific_gravity if entry.sprue_pattern else None
    metal_g = metal_of(
        float(entry.wax_g),
        entry.pattern.specific_gravity,
        entry.alloy.specific_gravity,
        float(entry.sprue_g),
        sprue_sg,
    )
    return WaxPreview(metal_g, None, (), entry)
