"""People beside a stored plan: its kilns' runs, and who is on call while they are alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from casting.calc.cautions.people import KilnAlone, kilns_alone, somebody_is_there
from casting.calc.values.day_plan import FiredSegment, FiringPlan
from casting.calc.values.enums import Do
from casting.dayfile import Day
from casting.dayfile.times import minutes_from
from casting.models import CastingDay, SafetyRecord
from casting.presenters.clock_change import instant
from casting.presenters.formats import minutes as span_of
from casting.presenters.plan_sheet import StepLine


def firings_of(plan: Mapping[str, Any], day: Day) -> tuple[FiringPlan, ...]:
    """Return the kilns' runs of a plan file, in minutes from the first pour of its day."""
    return tuple(
        FiringPlan(row["kiln"], row["firing"], _minutes(row["on_at"], day), tuple(_segments(row["segments"], day)))
        for row in plan["firings"]
    )


def _segments(rows: Any, day: Day) -> list[FiredSegment]:
    segments: list[FiredSegment] = []
    for row in rows:
        starts, reached, ends = (_minutes(row[key], day) for key in ("starts_at", "reached_at", "ends_at"))
        figures = (row["ramp_c_per_h"], row["to_c"], row["hold_min"], starts, reached, ends)
        segments.append(FiredSegment(*figures, cooling=bool(segments) and row["to_c"] < segments[-1].to_c))
    return segments


def _minutes(text: str, day: Day) -> int:
    return minutes_from(day.pour_at, instant(text, day.zone))


def on_call_of(day: CastingDay, record: SafetyRecord) -> str:
    """Return name and number of the person on call in the kiln night: the day's own, else the school's; or nothing.

    Whom to call at the school counts only where the school has recorded that a named person is on call.
    """
    return day.on_call or (record.contact if record.on_call else "")


@dataclass(frozen=True, slots=True)
class PeopleBeside:
    """The people of a plan beside its steps: what to write where nobody is there, and what helps."""

    day: Day
    alone: Mapping[str, KilnAlone]
    who: str

    def beside(self, step: StepLine) -> str:
        """Return what stands beside a step where nobody is there for it; a flask sets and a kiln rises by itself."""
        if step.all_done or step.do in (Do.SET, Do.RAMP):
            return ""
        if step.do is Do.KILN_ON:
            return self.switch_on(step.kiln or "")
        if step.do in (Do.HOLD, Do.SOAK):
            return self.hold(step.kiln or "", step.at, step.until)
        return self.by_hand(step.at, step.until)

    def switch_on(self, kiln: str) -> str:
        """Return what stands beside a kiln's switch-on, and what holds if it is late; nothing if somebody is there."""
        alone = self.alone.get(kiln)
        if alone is None or alone.on_at is None:
            return ""
        slack = span_of(round(self.day.day.rules.slack_min))
        late = _("Up to %(slack)s late the first pour stands; later, plan again.") % {"slack": slack}
        words = {
            True: _("Nobody there: set a delayed start."),
            False: _("Nobody there, no delayed start: somebody must come."),
            None: _("Nobody there. Has it a delayed start? Not recorded: ask."),
        }
        return f"{words[alone.kiln.delayed_start]} {late}"

    def hold(self, kiln: str, at: datetime, until: datetime) -> str:
        """Return what stands beside a hold: that nobody is there for the top heat, or to set it on as it ends."""
        alone = self.alone.get(kiln)
        if alone is None:
            return ""
        told = []
        start, end = self._minutes(at), self._minutes(until)
        if any(start < to and since < end for since, to in alone.top_heat):
            told.append(_("On call: %(who)s.") % {"who": self.who} if self.who else _("Who is on call?"))
        if end in alone.turns and not alone.kiln.sets_itself:
            by_hand = alone.kiln.sets_itself is False
            must_come, ask = _("Somebody must come to set the next heat."), _("Does it set itself? Not recorded: ask.")
            told += [must_come if by_hand else ask, _("If late: keep each hold's full time.")]
        return " ".join([_("Nobody there."), *told]) if told else ""

    def by_hand(self, at: datetime, until: datetime) -> str:
        """Return that nobody is there for work by hand; nothing if somebody is, or nobody recorded the hours."""
        hours = self.day.day.hours
        there = not hours or somebody_is_there(self._minutes(at), self._minutes(until), hours)
        return "" if there else _("Outside the school's hours: nobody there.")

    def _minutes(self, at: datetime) -> int:
        return minutes_from(self.day.pour_at, at)


def people_beside(plan: Mapping[str, Any], day: Day, who: str) -> PeopleBeside:
    """Return the people of a plan file beside its steps; `who` is on call, empty if nobody is named."""
    alone = {one.kiln.key: one for one in kilns_alone(firings_of(plan, day), day.day)}
    return PeopleBeside(day, alone, who)
