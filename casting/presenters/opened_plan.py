"""A stored plan opened for a person: its values, the names people use, the school's units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils.text import Truncator
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan, Wax
from casting.presenters.cautions import ShownCaution, cautions_of
from casting.presenters.formats import SchoolUnits, in_units, units_of
from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import Named, PlanSheet
from casting.selectors.day_file import NotPlanned, is_outdated
from school.models import School

HEAD_MOST, OTHERS_MOST = 230, 40
"""Signs that two small lines in the head of a sheet have room for; the teacher's safety sheet has them all."""


@dataclass(frozen=True, slots=True)
class OpenedPlan:
    """One revision of a plan with everything a page or a paper says of it."""

    plan: Plan
    sheet: PlanSheet
    school: School
    units: SchoolUnits

    @property
    def made_at(self) -> datetime:
        """When the plan was made, on the school's clock."""
        return self.plan.made_at.astimezone(self.sheet.zone)

    @property
    def replaces(self) -> int | None:
        """The revision that this one takes the place of."""
        return self.plan.revision - 1 if self.plan.revision > 1 else None

    @property
    def cleared(self) -> str:
        """Which cautions a teacher has cleared and why, for the head of every sheet; cut to what fits there."""
        read = _read_of(self.plan)
        if read.cleared is None:
            read.cleared = _for_the_head(cautions_of(self.plan))
        return read.cleared


def _for_the_head(cautions: Sequence[ShownCaution]) -> str:
    """As many as find room, each with its name and reason; the ids of the others, and where all of it stands."""
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
    return _("whole on the teacher's safety sheet; %(begun)s%(others)s") % {"begun": begun, "others": others}


@dataclass(slots=True)
class _Read:
    """What has been read of one plan."""

    of: Plan
    opened: OpenedPlan | None = None
    outdated: bool | None = None
    cleared: str | None = None


_read: ContextVar[_Read | None] = ContextVar("read", default=None)


@contextmanager
def read_once(plan: Plan) -> Iterator[None]:
    """Within it this plan is opened and compared with its day once, however many papers ask."""
    before = _read.set(_Read(plan))
    try:
        yield
    finally:
        _read.reset(before)


def _read_of(plan: Plan) -> _Read:
    """What is kept of this very plan; without `read_once`, something to be thrown away."""
    read = _read.get()
    return read if read is not None and read.of is plan else _Read(plan)


def names_of(day: CastingDay) -> dict[str, Named]:
    """Return what people call each wax of a day, by its tag; withdrawn ones too. One query."""
    rows = Wax.objects.filter(day=day).values_list("tag", "student__called", "what")
    return {tag: Named(tag, called, what) for tag, called, what in rows}


def open_plan(plan: Plan) -> OpenedPlan:
    """Return a stored plan with names, units and how far its flasks are. Two queries, and those for the school."""
    read = _read_of(plan)
    if read.opened is None:
        school = plan.day.course.school
        sheet = read_plan(plan.plan_file, plan.day_file, names_of(plan.day), plan.day.states())
        sheet = _said_in(units_of(school), sheet)
        read.opened = OpenedPlan(plan, sheet, school, units_of(school))
    return read.opened


def _said_in(units: SchoolUnits, sheet: PlanSheet) -> PlanSheet:
    """A plan with its sentences in the school's units."""
    steps = tuple(replace(step, say=in_units(step.say, units)) for step in sheet.steps)
    left_out = tuple(replace(wax, detail=in_units(wax.detail, units)) for wax in sheet.left_out)
    return replace(sheet, steps=steps, left_out=left_out)


def outdated(plan: Plan) -> bool:
    """Tell whether the day has changed since the plan; a day that cannot be read now has."""
    read = _read_of(plan)
    if read.outdated is None:
        try:
            read.outdated = is_outdated(plan)
        except NotPlanned:
            read.outdated = True
    return read.outdated
