"""A day at a glance: when its parts begin and end, what is loaded when, and the pours with their melts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from casting.calc.values.enums import Do
from casting.presenters.people import PeopleBeside
from casting.presenters.plan_sheet import BowlLine, FlaskSheet, KilnNight, PlanSheet, SegmentLine, StepLine

Time = tuple[str | Promise, datetime]


@dataclass(frozen=True, slots=True)
class Mixing:
    """A bowl, and when the last of its flasks has set; None if a flask's mix was before this plan.

    Here and below `people` says that nobody is there for it, and what helps; empty if somebody is.
    """

    bowl: BowlLine
    set_by: datetime | None
    people: str = ""


@dataclass(frozen=True, slots=True)
class KilnLines:
    """A kiln's night: its climbs, holds and falls."""

    night: KilnNight
    segments: tuple[tuple[SegmentLine, str], ...]
    people: str = ""


@dataclass(frozen=True, slots=True)
class Loading:
    """The flasks that go into one kiln; `done` if that kiln is on already."""

    kiln_named: str
    at: datetime
    flasks: tuple[str, ...]
    done: bool
    people: str = ""


@dataclass(frozen=True, slots=True)
class Pour:
    """A flask at its pour, and when its metal begins to melt; None where the plan does not say."""

    flask: FlaskSheet
    melt_at: datetime | None
    people: str = ""


@dataclass(frozen=True, slots=True)
class DayOutline:
    """What the page of a day shows beside its drawing; each step stands in one place."""

    times: tuple[Time, ...]
    mounting: tuple[tuple[StepLine, str], ...]
    mixing: tuple[Mixing, ...]
    loading: tuple[Loading, ...]
    kilns: tuple[KilnLines, ...]
    pours: tuple[Pour, ...]

    @property
    def stones(self) -> tuple[FlaskSheet, ...]:
        """The flasks that are not quenched, because stones are left in their waxes."""
        return tuple(pour.flask for pour in self.pours if pour.flask.cools_in_air)

    @property
    def quenched(self) -> bool:
        """True if any flask goes into water."""
        return len(self.stones) < len(self.pours)


def outline_of(sheet: PlanSheet, people: PeopleBeside) -> DayOutline:
    """Return a plan's day at a glance, with who is there for it."""
    mixes = {step.flasks: people.beside(step) for step in sheet.steps_of(Do.MIX)}
    at_the_pour = {label: people.beside(step) for step in sheet.steps_of(Do.POUR) for label in step.flasks}
    return DayOutline(
        times=tuple(_times(sheet)),
        mounting=tuple((step, people.beside(step)) for step in sheet.steps_of(Do.HAND_IN_CLOSES, Do.MOUNT)),
        mixing=tuple(
            Mixing(bowl, _set_by(sheet, bowl), mixes.get(tuple(sorted(bowl.flasks)), "")) for bowl in sheet.bowls
        ),
        loading=tuple(_loading(sheet, people)),
        kilns=tuple(_kiln(night, people) for night in sheet.kilns),
        pours=tuple(replace(pour, people=at_the_pour[pour.flask.label]) for pour in pours_of(sheet)),
    )


def _kiln(night: KilnNight, people: PeopleBeside) -> KilnLines:
    """A kiln's night with the people beside it; what is over needs nobody."""
    key = night.kiln.key
    segments = tuple((one, "" if one.over else people.hold(key, one.reached_at, one.ends_at)) for one in night.segments)
    return KilnLines(night, segments, "" if night.on_since else people.switch_on(key))


def pours_of(sheet: PlanSheet) -> list[Pour]:
    """Return the flasks in the order of their pours."""
    melts = {label: step.at for step in sheet.steps_of(Do.MELT) for label in step.flasks}
    order = [label for step in sheet.steps_of(Do.POUR) for label in step.flasks]
    return [Pour(sheet.flask(label), melts.get(label)) for label in order]


def _times(sheet: PlanSheet) -> Iterator[Time]:
    """The moments that people ask for."""
    for name, do, last in (
        (_("Hand-in closes"), Do.HAND_IN_CLOSES, False),
        (_("First mix"), Do.MIX, False),
        (_("First pour"), Do.POUR, False),
        (_("Last pour"), Do.POUR, True),
        (_("Last flask cleaned out"), Do.DIVEST, True),
    ):
        if do is Do.POUR and not last:
            yield from ((_("%(kiln)s on") % {"kiln": night.named}, night.on_at) for night in sheet.kilns)
        steps = sheet.steps_of(do)
        if steps:
            yield name, max(step.at for step in steps) if last else steps[0].at


def _set_by(sheet: PlanSheet, bowl: BowlLine) -> datetime | None:
    """When all flasks of a bowl have set."""
    return max((step.until for step in sheet.steps_of(Do.SET) if set(step.flasks) <= set(bowl.flasks)), default=None)


def _loading(sheet: PlanSheet, people: PeopleBeside) -> Iterator[Loading]:
    """The loads, one for each kiln and hour."""
    for night in sheet.kilns:
        steps = [step for step in sheet.steps_of(Do.LOAD) if step.kiln == night.kiln.key]
        for at in sorted({step.at for step in steps}):
            together = [step for step in steps if step.at == at]
            labels = tuple(label for step in together for label in step.flasks)
            yield Loading(night.named, at, labels, all(step.all_done for step in together), people.beside(together[0]))
