"""A stored plan opened for a person: its values, the names people use, the school's units."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from typing import Any, TypeVar

from django.utils.text import Truncator
from django.utils.timezone import now
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do, Tick
from casting.dayfile import Day, read_kept
from casting.models import CastingDay, Plan, Wax
from casting.models.errors import NotPlanned
from casting.presenters.cautions import ShownCaution, cautions_of, safety_record_of
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.mishap_told import told_of
from casting.presenters.plan_reader import plan_sheet_of
from casting.presenters.plan_sheet import PlanSheet, WaxName
from casting.presenters.vacuum import GaugeLine, gauge_line
from casting.presenters.wording import in_units
from casting.selectors.day_file import is_outdated
from casting.selectors.mishaps import mishaps_of
from casting.selectors.mounted import done_and_weighed
from school.models import School
from school.names import name_with_spelling, printed_name

T = TypeVar("T")

HEAD_MOST, OTHERS_MOST = 230, 40
"""Signs that two small lines in the head of a sheet have room for; the teacher's safety sheet has them all."""


@dataclass(frozen=True)
class OpenedPlan:
    """One revision of a plan with everything a page or a paper says of it; each part is read once, when asked for.

    `on_paper` names people as papers do, in letters that these have.
    """

    plan: Plan
    on_paper: bool = False

    @classmethod
    def holding(cls, plan: Plan, day: Day, sheet: PlanSheet) -> OpenedPlan:
        """Return a plan of which these are read already, so that they are not read again."""
        opened = cls(plan)
        vars(opened)["day"] = day
        opened._read["sheet", get_language()] = sheet
        return opened

    @property
    def school(self) -> School:
        """The plan's school."""
        return self.plan.day.course.school

    @property
    def is_rehearsal(self) -> bool:
        """Whether its class is the invented one of a rehearsal."""
        return self.plan.day.course.is_rehearsal

    @property
    def units(self) -> SchoolUnits:
        """The units that the school reads."""
        return units_of(self.school)

    @cached_property
    def day(self) -> Day:
        """The day that the plan was made from."""
        return read_kept(self.plan.day_file)

    @property
    def sheet(self) -> PlanSheet:
        """The plan's values with names, units and what is done. Four queries, and those for the school."""
        return self._in_language("sheet", self._sheet)

    def _sheet(self) -> PlanSheet:
        of_day = self.plan.day
        names, states = names_of(of_day, self.on_paper), of_day.states()
        done, weighed = done_and_weighed(of_day, Do.KILN_ON, Do.QUENCH, Tick.COLLECTED)
        sheet = plan_sheet_of(
            self.plan.file,
            self.day,
            names,
            states,
            done[Do.KILN_ON],
            now(),
            done[Do.QUENCH],
            done[Tick.COLLECTED],
            weighed,
            told_of(mishaps_of(of_day), states, self.day.zone),
        )
        return in_school_units(sheet, self.units)

    @property
    def cautions(self) -> tuple[ShownCaution, ...]:
        """The cautions of the plan and its school, most severe first. Three queries."""
        return self._in_language("cautions", lambda: cautions_of(self.plan, self.day))

    @cached_property
    def _read(self) -> dict[tuple[str, str | None], Any]:
        return {}

    def _in_language(self, what: str, read: Callable[[], T]) -> T:
        """What is read once in each language, as one plan is printed in two."""
        key = what, get_language()
        if key not in self._read:
            self._read[key] = read()
        found: T = self._read[key]
        return found

    @cached_property
    def gauge(self) -> GaugeLine:
        """What the school's vacuum gauge has to show. One query."""
        return gauge_line(safety_record_of(self.school).facts())

    @property
    def of_gauge(self) -> tuple[ShownCaution, ...]:
        """The warnings about the vacuum gauge and its pump that nobody has cleared."""
        return tuple(one for one in self.cautions if one.id.startswith("vacuum-") and not one.cleared_by)

    @property
    def held_back(self) -> tuple[ShownCaution, ...]:
        """The STOPs that hold the plan back."""
        return tuple(caution for caution in self.cautions if caution.holds_back)

    @cached_property
    def is_outdated(self) -> bool:
        """True if the day has changed since the plan was made, or no day file can be made of it now."""
        try:
            return is_outdated(self.plan)
        except NotPlanned:
            return True

    @property
    def made_at(self) -> datetime:
        """When the plan was made, on the school's clock."""
        return self.plan.made_at.astimezone(self.day.zone)

    @property
    def replaces(self) -> int | None:
        """The revision that this one takes the place of."""
        return self.plan.revision - 1 if self.plan.revision > 1 else None

    @property
    def cleared(self) -> str:
        """Which cautions a teacher has cleared and why, for the head of every sheet; cut to what fits there.

        Not kept, as one plan is printed in two languages.
        """
        return _for_the_head(self.cautions)


def _for_the_head(cautions: Sequence[ShownCaution]) -> str:
    """The cleared cautions that fit, each with name and reason; then the ids of the others, and where all are whole."""
    cleared = [one for one in cautions if one.cleared_by]
    said = {f"{one.id} ({one.cleared_by}: {one.reason})": one.id for one in cleared}
    whole = list(said)
    if len("; ".join(whole)) <= HEAD_MOST:
        return "; ".join(whole)
    fitting = [nth for nth in range(1, len(whole)) if len("; ".join(whole[:nth])) <= HEAD_MOST]
    number = fitting[-1] if fitting else 1
    begun = Truncator("; ".join(whole[:number])).chars(HEAD_MOST)
    others = Truncator(", ".join(dict.fromkeys(["", *list(said.values())[number:]]))).chars(OTHERS_MOST)
    # First, so that wide letters push it off no sheet.
    return _("full text on the teacher's sheet; %(begun)s%(others)s") % {"begun": begun, "others": others}


def names_of(day: CastingDay, on_paper: bool = False) -> dict[str, WaxName]:
    """Return what people call each wax of a day, by its tag; withdrawn ones too. One query.

    A student's name with letters that papers lack is on paper as the student spelled it, on a screen both ways.
    """
    named = printed_name if on_paper else name_with_spelling
    rows = Wax.objects.filter(day=day)
    columns = rows.values_list("tag", "student__called", "student__spelled", "what", "withdrawn_at")
    return {
        tag: WaxName(tag, named(called, spelled), _("%(what)s (withdrawn)") % {"what": what} if gone else what)
        for tag, called, spelled, what, gone in columns
    }


def in_school_units(sheet: PlanSheet, units: SchoolUnits) -> PlanSheet:
    """Return a plan with its sentences in the reader's language and the school's units."""
    steps = tuple(replace(step, say=in_units(step.say, units)) for step in sheet.steps)
    left_out = tuple(
        replace(wax, detail=in_units(wax.detail, units), cure=wax.cure and in_units(wax.cure, units))
        for wax in sheet.left_out
    )
    proof = {**sheet.proof, "why": in_units(sheet.proof["why"], units)}
    return replace(sheet, steps=steps, left_out=left_out, proof=proof)
