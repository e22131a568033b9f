"""The nearest changes of a day that cannot work: each made in its day file as the site would make it, and planned.

A time is tried in steps of a quarter of an hour, then minute by minute within the first quarter that works. Every
change leaves `PRESS_MIN` to press it in, and the whole time for mounting.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any

from casting.calc.plan_day import DaySearch
from casting.calc.schedule.lateness import LATEST_SHIFT_MIN, poured_later
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.enums import Do
from casting.calc.values.errors import Refused
from casting.dayfile import Day, read
from casting.dayfile.times import read_hours

MOST, STEP_MIN, DAY_MIN, PRESS_MIN = 3, 15, 24 * 60, 15
HANDS_MORE = 3
"""No school finds more hands than these for an afternoon."""

CLOCKED = ("hand-in-early", "hours-missed")
"""The cautions of a plan that another time or more hands may answer."""


class What(StrEnum):
    """What is changed: the first pour, an hour of the studio, or the hands that mount."""

    POUR = "pour_at"
    UNTIL = "hand_in_until"
    CLOSES = "closes"
    OPENS = "opens"
    HANDS = "hands"


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a day file, with what stands there then."""

    what: What
    value: str | int


@dataclass(frozen=True, slots=True)
class Offer:
    """A change with its day and its plan."""

    change: Change
    day: Day
    plan: DayPlan


def needs_change(plan: DayPlan) -> bool:
    """Tell whether a plan could not keep the hours or the hand-in that its day asks for."""
    return any(caution.id in CLOCKED for caution in plan.cautions)


def apply_change(file: Mapping[str, Any], change: Change) -> dict[str, Any]:
    """Return a day file with one change."""
    if change.what is What.POUR:
        return {**file, "pour_at": change.value}
    if change.what is What.HANDS:
        return {**file, "rules": {**file.get("rules", {}), "hands": change.value}}
    return {**file, "hours": {**file["hours"], change.what.value: change.value}}


def nearest_changes(
    file: Mapping[str, Any], search: DaySearch, effort: int, plan: DayPlan | None = None
) -> Iterator[Offer]:
    """Yield up to three changes with which the day works; `plan` is the day's own, where it has one."""
    nights = _Nights(file, search, effort)
    tries: list[Callable[[], Change | None]] = [nights.pour_later]
    if file.get("hours"):
        tries += [lambda: nights.until_sooner(plan), nights.closes_later, nights.opens_sooner]
    tries += [nights.same_time_later, nights.more_hands]
    found: list[Change] = []
    for tried in tries:
        change = tried() if len(found) < MOST else None
        offer = nights.planned(change) if change is not None and change not in found else None
        if offer is not None:
            found.append(offer.change)
            yield offer


class _Nights:
    """A day, tried at other times with the flasks that its search has found."""

    def __init__(self, file: Mapping[str, Any], search: DaySearch, effort: int) -> None:
        self.file, self.search, self.effort = file, search, effort
        self.asked = read(json.dumps(file))
        self.clock = f"{self.asked.pour_at:%H:%M}"

    def planned(self, change: Change) -> Offer | None:
        """A change planned from its day file; None if that day cannot work after all."""
        day = read(json.dumps(apply_change(self.file, change)))
        try:
            plan = self.search.on_clock_of(day.day).plan(self.effort)
        except Refused:
            return None
        return None if needs_change(plan) else Offer(change, day, plan)

    def pour_later(self) -> Change | None:
        """The least later first pour, at an hour at which one pours."""
        for by in range(STEP_MIN, LATEST_SHIFT_MIN + 1, STEP_MIN):
            if self._pours(by):
                least = next(one for one in range(by - STEP_MIN + 1, by + 1) if self._pours(one))
                return Change(What.POUR, self._later(least).isoformat(timespec="minutes"))
        return None

    def same_time_later(self) -> Change | None:
        """The first later day on which the first pour can be at the same time."""
        for days in range(1, LATEST_SHIFT_MIN // DAY_MIN + 1):
            local = self.asked.pour_at.replace(tzinfo=None) + timedelta(days=days)
            at = local.replace(tzinfo=self.asked.zone)
            by = round((at.astimezone(UTC) - self.asked.pour_at.astimezone(UTC)) / timedelta(minutes=1))
            if self._pours(by):
                return Change(What.POUR, self._later(by).isoformat(timespec="minutes"))
        return None

    def until_sooner(self, plan: DayPlan | None) -> Change | None:
        """Waxes taken no longer than the plan as it is takes them."""
        closes = next((step.at for step in plan.steps if step.do is Do.HAND_IN_CLOSES), None) if plan else None
        asked = self.file["hours"].get("hand_in_until")
        if closes is None or not asked:
            return None
        until = f"{self._later(closes):%H:%M}"
        return Change(What.UNTIL, until) if self.file["hours"]["opens"] <= until < asked else None

    def closes_later(self) -> Change | None:
        """The studio open longer, by the least that does."""
        return self._hour(What.CLOSES, 1)

    def opens_sooner(self) -> Change | None:
        """The studio open from an earlier hour, by the least that does."""
        return self._hour(What.OPENS, -1)

    def more_hands(self) -> Change | None:
        """The fewest more hands that do."""
        hands = self.asked.day.rules.hands
        for more in range(hands + 1, hands + HANDS_MORE + 1):
            change = Change(What.HANDS, more)
            if self._works(read(json.dumps(apply_change(self.file, change))).day):
                return change
        return None

    def _hour(self, what: What, sign: int) -> Change | None:
        hour, minute = map(int, self.file["hours"][what.value].split(":"))
        at = hour * 60 + minute
        room = DAY_MIN - 1 - at if sign > 0 else at

        def change(by: int) -> Change:
            hours, minutes = divmod(at + sign * by, 60)
            return Change(what, f"{hours:02}:{minutes:02}")

        def does(by: int) -> bool:
            hours = self.file["hours"] | {what.value: change(by).value}
            day = self.asked.day
            return self._works(replace(day, hours=read_hours(hours, "hours", self.asked.pour_at, self.asked.zone)))

        for by in [*range(STEP_MIN, room, STEP_MIN), room]:
            if by > 0 and does(by):
                return change(next(one for one in range(max(1, by - STEP_MIN + 1), by + 1) if does(one)))
        return None

    def _later(self, by: int) -> datetime:
        return (self.asked.pour_at.astimezone(UTC) + timedelta(minutes=by)).astimezone(self.asked.zone)

    def _pours(self, by: int) -> bool:
        """Whether the day works with a first pour so many minutes later, in the studio's hours, at a clear time."""
        at, hours = self._later(by), self.file.get("hours")
        opens, closes = (hours["opens"], hours["closes"]) if hours else (self.clock, "24:00")
        if not opens <= f"{at:%H:%M}" <= closes or at.replace(fold=1 - at.fold).utcoffset() != at.utcoffset():
            return False
        day = poured_later(self.asked.day, by)
        return self._works(replace(day, hours=read_hours(hours, "hours", at, self.asked.zone)))

    def _works(self, day: DayInput) -> bool:
        late = day if day.now is None else replace(day, now=day.now + PRESS_MIN)
        try:
            return self.search.on_clock_of(late).works(self.effort)
        except Refused:
            return False
