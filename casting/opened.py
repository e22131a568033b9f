"""A stored plan opened for a person: its values, the names people use, the school's units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from casting.models import CastingDay, Plan, Wax
from casting.planning import NotPlanned, is_outdated
from casting.reading import Named, PlanSheet, read_plan
from casting.shown import SchoolUnits
from casting.units import Mass, Temperature
from school.models import School


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


def units_of(school: School) -> SchoolUnits:
    """Return the units that a school reads."""
    return SchoolUnits(Mass(school.weight_unit), Temperature(school.temperature_unit))


def names_of(day: CastingDay) -> dict[str, Named]:
    """Return what people call each wax of a day, by its tag; withdrawn ones too. One query."""
    rows = Wax.objects.filter(day=day).values_list("tag", "student__called", "what")
    return {tag: Named(tag, called, what) for tag, called, what in rows}


def open_plan(plan: Plan) -> OpenedPlan:
    """Return a stored plan with names and units. One query, and those for the day's school."""
    school = plan.day.course.school
    sheet = read_plan(plan.plan_file, plan.day_file, names_of(plan.day))
    return OpenedPlan(plan, sheet, school, units_of(school))


def outdated(plan: Plan) -> bool:
    """Tell whether the day has changed since the plan; a day that cannot be read now has."""
    try:
        return is_outdated(plan)
    except NotPlanned:
        return True
