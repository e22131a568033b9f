"""The past casting days of a school with all that was noted of them: a few queries, however many days. Reads only."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from casting.calc.values.enums import Tick
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay, KilnReading, PieceDefect, Plan, StepRecord, Wax
from casting.models.day import CastingDayQuerySet
from casting.selectors.account.flasks import BookedFlask, booked_on
from school.models import School

NOT_FILLED = (PieceDefect.Kind.INCOMPLETE, PieceDefect.Kind.SHRINKAGE)
"""Defects of a piece that got too little metal."""


class PastWax(NamedTuple):
    """What is asked of a wax of a past day: a year has thousands, and no more is read of each."""

    pk: int
    wax_g: Decimal
    material: str
    sprue_pattern_id: int | None


@dataclass(frozen=True, slots=True)
class PastFlask:
    """A flask of a past day: as planned, as the account has it, and its waxes."""

    day: CastingDay
    planned: Mapping[str, Any]
    booked: BookedFlask
    waxes: Sequence[PastWax]

    @property
    def label(self) -> str:
        """Its label."""
        return str(self.planned["label"])

    @property
    def all_cast(self) -> bool:
        """Whether it is settled and each of its waxes came out and is weighed."""
        return (
            self.booked.settled is not None
            and not self.booked.not_cast
            and self.booked.weighed >= {wax.pk for wax in self.waxes}
        )


@dataclass(frozen=True)
class PastDay:
    """A past day with its last plan and all that was noted of it."""

    day: CastingDay
    plan: Plan
    done: Mapping[str, Mapping[str, datetime]] = field(default_factory=dict)
    """When each step was done, by step and then by flask or kiln."""
    readings: Mapping[str, Sequence[tuple[datetime, float]]] = field(default_factory=dict)
    """What each kiln read, in order of time."""
    gloss_min: Mapping[str, float] = field(default_factory=dict)
    """How long after the powder met the water the gloss of each bowl was gone [min]."""
    booked: Mapping[str, BookedFlask] = field(default_factory=dict)
    waxes: Mapping[str, PastWax] = field(default_factory=dict)
    not_filled: frozenset[int] = frozenset()
    """The keys of waxes whose pieces got too little metal."""

    @property
    def flasks(self) -> Iterator[PastFlask]:
        """Its flasks of which metal is booked."""
        for planned in self.plan.file["flasks"]:
            if booked := self.booked.get(planned["label"]):
                waxes = [self.waxes[one["key"]] for one in planned["waxes"] if one["key"] in self.waxes]
                yield PastFlask(self.day, planned, booked, waxes)


def days_of(school: School) -> CastingDayQuerySet:
    """Return the days of a school that have been, without rehearsals and those that were cancelled."""
    return CastingDay.objects.filter(
        course__school=school, course__is_rehearsal=False, cancelled_at=None, pour_at__lt=timezone.now()
    )


def past_days(school: School) -> list[PastDay]:
    """Return the latest past days that were planned, the latest first; eight queries."""
    rows = days_of(school).order_by("-pour_at", "-pk").select_related("course__school")
    days = {day.pk: day for day in rows[: int(rulebook().limit("learning_most_days"))]}
    done: dict[int, dict[str, dict[str, datetime]]] = defaultdict(lambda: defaultdict(dict))
    readings: dict[int, dict[str, list[tuple[datetime, float]]]] = defaultdict(lambda: defaultdict(list))
    waxes: dict[int, dict[str, PastWax]] = defaultdict(dict)
    not_filled: dict[int, set[int]] = defaultdict(set)
    of_days: dict[str, Any] = {"day__in": list(days)}
    gloss: dict[int, dict[str, float]] = defaultdict(dict)
    steps = StepRecord.objects.filter(**of_days).order_by()
    for day, do, what, at, figures in steps.values_list("day", "do", "what", "done_at", "figures"):
        done[day][do][what] = at
        if do == Tick.GLOSS and "min" in figures:
            gloss[day][what] = float(figures["min"])
    read = KilnReading.objects.filter(**of_days).order_by("at")
    for day, kiln, at, celsius in read.values_list("day", "kiln", "at", "celsius"):
        readings[day][kiln].append((at, float(celsius)))
    figures_of = ("day", "tag", "pk", "wax_g", "pattern__key", "sprue_pattern")
    for day, tag, *of_wax in Wax.objects.filter(**of_days).order_by().values_list(*figures_of):
        waxes[day][tag] = PastWax(*of_wax)
    defects = PieceDefect.objects.filter(wax__day__in=list(days), kind__in=NOT_FILLED, taken_back_at=None)
    for day, wax_id in defects.values_list("wax__day", "wax").order_by():
        not_filled[day].add(wax_id)
    booked = booked_on(days)
    return [
        PastDay(
            days[key], plan, done[key], readings[key], gloss[key], booked[key], waxes[key], frozenset(not_filled[key])
        )
        for key, plan in last_plans(days).items()
    ]


def last_plans(days: Mapping[int, CastingDay]) -> dict[int, Plan]:
    """Return the last plan of each of these days that has one, in the order of the days; one query."""
    last = Plan.objects.filter(day=OuterRef("pk")).order_by("-revision").values("pk")[:1]
    keys = CastingDay.objects.filter(pk__in=list(days)).order_by().annotate(last=Subquery(last)).values("last")
    found = {plan.day_id: plan for plan in Plan.objects.filter(pk__in=keys).order_by()}
    for key, plan in found.items():
        plan.day = days[key]
    return {key: found[key] for key in days if key in found}
