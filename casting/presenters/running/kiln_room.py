"""The page in the kiln room: what a kiln should do now and next, what it reads, and what follows if it is off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cached_property

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from casting.calc.kiln.night_watch import Off, Reading, Watch, planned_c, watch
from casting.calc.values.day_plan import FiredSegment
from casting.calc.values.enums import Do
from casting.dayfile.times import minutes_from, show_at
from casting.models import Flask, FlaskMishap, KilnReading
from casting.presenters.cautions import safety_record_of
from casting.presenters.formats import clock_time, day_clock, degrees, degrees_apart, minutes
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.people import firings_of, on_call_of
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, SegmentLine
from casting.presenters.running.expected import Expected, GoneWrong, expected_of
from casting.presenters.running.mishaps import WentWrong, reheat_from
from casting.selectors.mishaps import mishaps_of, not_before, not_to_pour

SAID: Mapping[Off, str | Promise] = {
    Off.OVER_POWDER: gettext_lazy(
        "Too hot: the investment takes %(most)s at most. Switch the kiln off, leave the door shut, tell the teacher. "
        "Flasks that were hotter may crack and give off gas: do not pour them before the powder's maker is asked."
    ),
    Off.RISES: gettext_lazy(
        "It climbs when it should not: its relay may be stuck. Switch the kiln off at the wall, leave the door shut, "
        "tell the teacher. The kiln maker's manual says what to check."
    ),
    Off.DOES_NOT_FOLLOW: gettext_lazy(
        "It does not climb: look at the switch, the fuse, the door and the program; then an element or the "
        "thermocouple may have failed. The kiln maker's manual says what to check."
    ),
    Off.HOT: gettext_lazy("Hotter than planned by %(off)s. Check the program and its set point; read again in 10 min."),
    Off.COLD: gettext_lazy("Colder than planned by %(off)s. Check the program and the door; read again in 10 min."),
}
"""What is wrong with a kiln and what to do now; common practice, and its maker's manual comes first.

That it is late, and nothing else, is said with what follows (`KilnNow.late_words`).
"""


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """A reading as it was written down."""

    pk: int
    at: datetime
    celsius: float
    by: str


@dataclass(frozen=True, slots=True)
class Moment:
    """What comes next at a kiln: when, and in few words."""

    at: datetime
    words: str


@dataclass(frozen=True)
class KilnNow:
    """One kiln at this moment; `expected` are the day's flasks, as late as all its kilns are."""

    opened: OpenedPlan
    night: KilnNight
    segments: Sequence[FiredSegment]
    readings: Sequence[ReadingLine]
    now: datetime
    expected: Mapping[str, Expected] = field(default_factory=dict)

    @property
    def is_due(self) -> bool:
        """Whether it should be on, and nobody noted that it is."""
        return not self.night.is_on and self.now > self.night.on_at

    @property
    def on_from(self) -> datetime | None:
        """From when it is on: as noted, or now at the soonest if it should be on already; None leaves it as planned."""
        return self.now if self.is_due else self.night.on_since

    @cached_property
    def shift(self) -> timedelta:
        """How much later than planned it goes on, in whole minutes; nothing where that is not known."""
        return timedelta(minutes=self._shift_min)

    @cached_property
    def _shift_min(self) -> int:
        return minutes_from(self.night.on_at, self.on_from or self.night.on_at)

    def _minute(self, at: datetime) -> int:
        return minutes_from(self.opened.day.pour_at, at)

    @cached_property
    def watch(self) -> Watch:
        """What its readings say; nothing while it is not on."""
        read = [Reading(self._minute(one.at), one.celsius) for one in self.readings]
        if not self.night.is_on:
            return Watch()
        return watch(self._shifted, read, self.opened.sheet.day.investment.max_c, self.opened.sheet.day.rulebook)

    @cached_property
    def _shifted(self) -> list[FiredSegment]:
        later = self._shift_min
        return [
            replace(
                one,
                starts_at=one.starts_at + later,
                reached_at=one.reached_at + later,
                ends_at=one.ends_at + later,
            )
            for one in self.segments
        ]

    @property
    def should_c(self) -> float:
        """What it should read now."""
        return self._should_c(self.now)

    def _should_c(self, at: datetime) -> float:
        """What it should read, as late as its readings say it is."""
        return planned_c(self._shifted, self._minute(at) - self.watch.behind_min)

    def planned_at(self, at: datetime) -> float:
        """What its curve has at a time, as late as it went on [C]."""
        return planned_c(self._shifted, self._minute(at))

    @property
    def is_over(self) -> bool:
        """Whether its last flask is out, or will not be poured."""
        return bool(self.night.flasks) and not self.to_pour

    @property
    def to_pour(self) -> list[FlaskSheet]:
        """Its flasks that are still to be poured."""
        return [flask for flask in self.night.flasks if not flask.poured and flask.label in self.expected]

    def _of_clock(self, at: datetime) -> datetime:
        """A time of the plan as late as the kiln went on and is."""
        return show_at(at, self._shift_min + self.watch.behind_min, self.opened.day.zone)

    @cached_property
    def _segment(self) -> SegmentLine | None:
        for segment in self.night.segments:
            if self.now < self._of_clock(segment.ends_at):
                return segment
        return None

    @property
    def words(self) -> str:
        """What it does now, in a sentence."""
        segment, units = self._segment, self.opened.units
        if self.is_over and any(not flask.poured for flask in self.night.flasks):
            return _("None of its flasks is to be poured any more. Switch it off.")
        if self.is_over:
            return _("Its last flask is out. Switch it off.")
        if self.is_due:
            return _("It was to go on at %(at)s. Nobody noted that it is on.") % {"at": day_clock(self.night.on_at)}
        if not self.night.is_on:
            return _("Goes on at %(at)s.") % {"at": day_clock(self.night.on_at)}
        if segment is None:
            return _("Hold it until its last flask is out.")
        heat = degrees(segment.to_c, units)
        reached, ends = (clock_time(self._of_clock(at)) for at in (segment.reached_at, segment.ends_at))
        if self.now >= self._of_clock(segment.reached_at) or segment.level:
            said = _("holding %(heat)s until %(ends)s") % {"heat": heat, "ends": ends}
        elif segment.cooling:
            said = _("falling to %(heat)s, there at %(reached)s, until %(ends)s")
            said %= {"heat": heat, "reached": reached, "ends": ends}
        else:
            said = _("rising to %(heat)s, there at %(reached)s, hold until %(ends)s")
            said %= {"heat": heat, "reached": reached, "ends": ends}
        return said

    @property
    def next(self) -> Moment | None:
        """What somebody does next at this kiln."""
        if self.is_over:
            return None
        units, coming = self.opened.units, []
        if not self.night.is_on:
            loads = [step.at for step in self.opened.sheet.steps_of(Do.LOAD) if step.kiln == self.night.kiln.key]
            coming += [Moment(at, _("load")) for at in loads] + [Moment(self.night.on_at, _("switch on, vent open"))]
        for segment in self.night.segments:
            heat = degrees(segment.to_c, units)
            coming.append(Moment(self._of_clock(segment.starts_at), _("set %(heat)s") % {"heat": heat}))
        ahead = [one for one in coming if one.at > self.now]
        pours = [
            Moment(self.expected[flask.label].out_at, _("pour %(label)s") % {"label": flask.label})
            for flask in self.to_pour
        ]
        return min([*ahead, *pours], key=lambda one: one.at, default=None)

    @property
    def waits_for(self) -> Moment:
        """What a kiln that is not on waits for: its load, else that somebody switches it on."""
        on = Moment(self.night.on_at, _("switch on, vent open"))
        return min([*([self.next] if self.next else []), on], key=lambda one: one.at)

    @property
    def late_words(self) -> str:
        """How late it is, and the two ways out: its reserve, or a later first pour. Empty if it is in time."""
        behind = self.watch.behind_min + self._shift_min
        waiting = self.to_pour
        in_time = behind < self.opened.sheet.day.rulebook.limit("kiln_late_min")
        if in_time or not waiting or self.opened.plan.day.why_shut:
            return ""
        reserve = int(self.opened.sheet.day.rules.slack_min)
        first = min(self.expected[flask.label].out_at for flask in waiting)
        keeps = show_at(min(flask.out_at for flask in waiting), behind, self.opened.day.zone)
        words = {"behind": minutes(behind), "reserve": minutes(reserve), "first": clock_time(first)}
        if behind >= reserve:
            return _("%(behind)s behind, and only %(reserve)s are in reserve: first pour %(first)s.") % words
        said = _(
            "%(behind)s behind: first pour %(first)s with what is left of the %(reserve)s in reserve; or %(keeps)s."
        )
        return said % (words | {"keeps": clock_time(keeps)})

    @property
    def off_words(self) -> str:
        """What is wrong and what to do now; empty if nothing is, or it is only late."""
        off, units = self.watch.off, self.opened.units
        if off is None or off not in SAID:
            return ""
        last, most = self.readings[-1], degrees(self.opened.sheet.day.investment.max_c, units)
        return str(SAID[off]) % {"most": most, "off": degrees_apart(abs(last.celsius - self._should_c(last.at)), units)}

    @property
    def shown(self) -> Sequence[ReadingLine]:
        """The readings, the newest first."""
        return self.readings[::-1]


def as_it_goes(
    opened: OpenedPlan, poured: Mapping[str, datetime], now: datetime, mishaps: Sequence[FlaskMishap] = ()
) -> tuple[list[KilnNow], dict[str, Expected]]:
    """Return each kiln at this moment, and each flask by label as late as they are; `poured` is what was noted.

    `mishaps` are what went wrong. One query, and those of the plan.
    """
    runs = {one.kiln: one.segments for one in firings_of(opened.plan.file, opened.day)}
    readings: dict[str, list[ReadingLine]] = {}
    for row in KilnReading.objects.filter(day=opened.plan.day).select_related("by").order_by("at"):
        line = ReadingLine(row.pk, row.at.astimezone(now.tzinfo), float(row.celsius), row.by.name if row.by else "")
        readings.setdefault(row.kiln, []).append(line)
    kilns = {
        night.kiln.key: KilnNow(opened, night, runs[night.kiln.key], readings.get(night.kiln.key, ()), now)
        for night in opened.sheet.kilns
    }
    done = {flask.label: poured[flask.label] for flask in opened.sheet.flasks if flask.poured and flask.label in poured}
    on = {key: kiln.on_from for key, kiln in kilns.items() if kiln.on_from}
    behind = {key: kiln.watch.behind_min for key, kiln in kilns.items()}
    charges_g = {flask.label: flask.charge_g for flask in opened.sheet.flasks}
    wrong = gone_wrong(opened, done, mishaps)
    expected = expected_of(opened.plan.file, opened.day, done, on, now, behind, charges_g, wrong)
    return [replace(kiln, expected=expected) for kiln in kilns.values()], expected


def gone_wrong(opened: OpenedPlan, poured: Mapping[str, datetime], mishaps: Sequence[FlaskMishap]) -> GoneWrong:
    """Return which flasks of a plan are late, or not poured any more."""
    planned = {flask.label: flask.out_at for flask in opened.sheet.flasks if flask.label not in poured}
    states = {flask.label: Flask.State.POURED for flask in opened.sheet.flasks if flask.poured}
    return GoneWrong(not_to_pour(mishaps, states), not_before(mishaps, planned))


def on_call_of_day(opened: OpenedPlan) -> dict[str, str]:
    """Return whom to call on a day, and the number for an emergency. One query."""
    record = safety_record_of(opened.school)
    who = on_call_of(opened.plan.day, record) or record.contact
    return {"contact": who or _("not recorded"), "emergency": record.emergency_number or _("not recorded")}


class KilnRoomPage:
    """All that the page shows at this moment."""

    def __init__(self, opened: OpenedPlan, chosen: str = "") -> None:
        self.opened, self.day = opened, opened.plan.day
        self.now = timezone.now().astimezone(self.day.course.school.tz)
        self.mishaps = mishaps_of(self.day)
        self.kilns, self.expected = as_it_goes(opened, self.day.done_at(Do.POUR)[Do.POUR], self.now, self.mishaps)
        named = [one for one in self.kilns if one.night.kiln.key == chosen]
        going = [one for one in self.kilns if one.night.is_on and not one.is_over]
        self.kiln = next(iter([*named, *going, *self.kilns]), None)

    @cached_property
    def went_wrong(self) -> WentWrong:
        """What went wrong with the flasks of the kiln that is shown, and what can be noted."""
        return WentWrong(self.opened, self.expected, self.mishaps, kiln=self.kiln.night.kiln.key if self.kiln else "")

    @cached_property
    def on_call(self) -> dict[str, str]:
        """Whom to call, and the number for an emergency."""
        return on_call_of_day(self.opened)

    @property
    def not_reheated_below(self) -> str:
        """The temperature below which a flask is not heated again."""
        return reheat_from(self.opened)
