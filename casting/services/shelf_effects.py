"""What a change of the shelf would do to days that are planned and not yet poured: tried, and taken back."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.cautions.rulebook import raised
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.values.day_input import DayInput
from casting.calc.values.errors import Refused
from casting.calc.values.tolerances import SLACK
from casting.dayfile import day_of
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import on_clock_of, units_of
from casting.presenters.refusals import refusal_of
from casting.selectors.day_file import day_values_of, is_outdated
from school.models import School

LATEST = timedelta(days=1)
"""A day whose first pour is longer past is over, whatever was noted of its flasks."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What happens to one day: which it is, and what is said of it."""

    day: CastingDay
    sentences: Sequence[str]

    @property
    def called(self) -> str:
        """The day by its time and its class."""
        course = self.day.course
        return f"{on_clock_of(self.day.pour_at, course.school)}, {course.name}"


@dataclass(frozen=True, slots=True)
class Standing:
    """How a day stands with its plan: current or not, why it is refused, charges of invested flasks by label [g]."""

    current: bool = False
    refused: str = ""
    charges_g: Mapping[str, float] = field(default_factory=dict)
    day: DayInput | None = None


def effects_of(school: School, change: Callable[[], object]) -> list[Effect]:
    """Return what a change of the school's shelf does to each planned day, the nearest first; nothing is kept of it."""
    plans = _open_plans(school)
    if not plans:
        return []
    before = [standing_of(plan) for plan in plans]
    with transaction.atomic():
        change()
        after = [standing_of(plan) for plan in plans]
        transaction.set_rollback(True)
    found = (Effect(plan.day, told_of(was, then, plan)) for plan, was, then in zip(plans, before, after, strict=True))
    return [effect for effect in found if effect.sentences]


def seen_of(effects: Sequence[Effect]) -> str:
    """Return a digest of effects: the same effects give the same digest."""
    said = [f"{effect.day.pk} {' '.join(effect.sentences)}" for effect in effects]
    return hashlib.sha256("\n".join(said).encode()).hexdigest()[:16]


def _open_plans(school: School) -> list[Plan]:
    """The last plan of each day that is not all poured."""
    days = CastingDay.objects.filter(
        course__school=school, course__is_rehearsal=False, pour_at__gt=timezone.now() - LATEST
    )
    found = []
    for day in days.select_related("course__school").order_by("pour_at", "pk"):
        plan = Plan.objects.latest_of(day)
        if plan is not None and any(flask.state != Flask.State.POURED for flask in day.flasks.all()):
            found.append(plan)
    return found


def standing_of(plan: Plan) -> Standing:
    """Return how a day stands with a plan as its rows and the shelf are now."""
    try:
        values = day_values_of(plan.day)
    except NotPlanned as wrong:
        return Standing(refused=str(wrong))
    try:
        day = day_of(values).day
    except Refused as refused:
        return Standing(refused=refusal_of(refused, values, units_of(plan.day.course.school)))
    return Standing(not is_outdated(plan, values), "", _charges(plan, values, day), day)


def _charges(plan: Plan, values: Mapping[str, Any], day: DayInput) -> dict[str, float]:
    """What the invested flasks of a plan would be charged with by a day's figures."""
    left = set(values["fixed"]) - set(values.get("poured", ()))
    if not left:
        return {}
    rules, found = FlaskRules(day), {}
    for flask in plan.file["flasks"]:
        if flask["label"] in left:
            tops = [wax["z_mm"] for wax in flask["waxes"] if "z_mm" in wax]
            trunk_mm = max(tops) - day.size(flask["size"]).base_mm if tops else None
            found[flask["label"]] = rules.charge_g([wax["key"] for wax in flask["waxes"]], flask["size"], trunk_mm)
    return found


def told_of(was: Standing, then: Standing, plan: Plan) -> list[str]:
    """Return what is said of a day: no more than the change itself does."""
    if then.refused:
        return [] if was.refused else [_("No plan can be made of it then. %(why)s") % {"why": then.refused}]
    said = []
    if was.current and not then.current:
        said.append(_("Its plan will be out of date: make it again."))
    for label, grams in sorted(then.charges_g.items()):
        old = was.charges_g.get(label, grams)
        if abs(grams - old) > SLACK and then.day is not None:
            before = then.day.charged_g.get(label, old)
            said.append(raised(then.day.rulebook, "charge-changed", flask=label, before=before, now=grams).text)
    return said
