"""The nearest changes of a day that cannot work: each made in its day file as the site would make it, and planned.

A time is tried in steps of `NEAREST_STEP_MIN`, then minute by minute within the first step that works. Smaller flasks
and another kiln keep the hours of the day and are searched anew. Every change leaves time to press it in, and the whole
time for mounting; none leaves a wax out that was in.

A day that works and whose bench melts too slowly is offered one torch more, with hands for it, and a stronger torch.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any

from casting.calc.grouping.budget import NEAREST_MOST, NEAREST_STEP_MIN
from casting.calc.plan_day import DaySearch
from casting.calc.schedule.lateness import LATEST_SHIFT_MIN, poured_later
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.enums import Do, Reason
from casting.calc.values.errors import Refused
from casting.dayfile import Day, read
from casting.dayfile.times import read_hours

DAY_MIN = 24 * 60

Rows = Sequence[Mapping[str, Any]]
"""Kilns as a day file has them."""

CLOCKED = ("hand-in-early", "hours-missed")
"""The cautions of a plan that another time, a shorter firing or more hands may answer."""


SLOW_BENCH = ("bench-slow", "bench-past-closing")
"""The cautions of a plan that more torches, or a stronger one, may answer."""


class What(StrEnum):
    """What is changed: the first pour, an hour of the studio, the equipment used, the hands or torches at the bench."""

    POUR = "pour_at"
    UNTIL = "hand_in_until"
    CLOSES = "closes"
    OPENS = "opens"
    SIZES = "flask_sizes"
    KILNS = "kilns"
    HANDS = "hands"
    TORCHES = "torches"
    MELT_W = "melt_w"


BENCH = (What.HANDS, What.TORCHES, What.MELT_W)
"""The house rules of the bench, which a day may have otherwise."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a day file, with what stands there then."""

    what: What
    value: str | int | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """A change with its day and its plan."""

    change: Change
    day: Day
    plan: DayPlan


def needs_change(plan: DayPlan) -> bool:
    """Tell whether a plan could not keep the hours or the hand-in that its day asks for."""
    return any(caution.id in CLOCKED for caution in plan.cautions)


def lacks_kiln(plan: DayPlan) -> bool:
    """Tell whether a plan leaves waxes out because its kilns have no room for their flasks."""
    return any(left.reason is Reason.NO_KILN_ROOM for left in plan.left_out)


def is_slow(plan: DayPlan) -> bool:
    """Tell whether a plan's last pour is late, or past closing, because the bench melts too slowly."""
    return any(caution.id in SLOW_BENCH for caution in plan.cautions)


def last_pour(plan: DayPlan) -> int:
    """Return when the last flask of a plan is out of its kiln [min from the first pour]."""
    return max((flask.out_at for flask in plan.flasks), default=0)


def apply_change(file: Mapping[str, Any], change: Change, kilns: Rows = ()) -> dict[str, Any]:
    """Return a day file with one change; `kilns` are all that the school works with, in its order."""
    if change.what is What.POUR:
        return {**file, "pour_at": change.value}
    if change.what in BENCH:
        rules = {**file.get("rules", {}), change.what.value: change.value}
        if change.what is What.TORCHES:  # a torch without hands for it stays cold
            rules["hands"] = max(rules.get("hands", change.value), change.value)
        return {**file, "rules": rules}
    if isinstance(change.value, tuple):
        rows = kilns if change.what is What.KILNS else file["flask_sizes"]
        return {**file, change.what.value: [row for row in rows if row["key"] in change.value]}
    return {**file, "hours": {**file["hours"], change.what.value: change.value}}


def nearest_changes(
    file: Mapping[str, Any], search: DaySearch, effort: int, plan: DayPlan | None = None, kilns: Rows = ()
) -> Iterator[Offer]:
    """Yield up to three changes with which the day works; `plan` is the day's own, where it has one.

    A day that works but for waxes that find no room in its kilns is offered another kiln of the school's; one whose
    bench is too slow, torches; one that works is offered nothing.
    """
    nights = _Nights(file, search, effort, kilns)
    tries: list[Callable[[], Change | None]] = []
    if plan is None or needs_change(plan):
        hours = bool(file.get("hours"))
        tries += [nights.pour_later, *([lambda: nights.until_sooner(plan)] if hours else [])]
        tries += [nights.smaller_flasks, nights.another_kiln]
        tries += [nights.closes_later, nights.opens_sooner] if hours else []
        tries += [nights.same_time_later, nights.more_hands]
    else:
        tries += [lambda: nights.another_kiln(more_waxes=True)] if lacks_kiln(plan) else []
        tries += [lambda: nights.one_more_torch(plan), nights.stronger_torch] if is_slow(plan) else []
    found: list[Change] = []
    for tried in tries:
        change = tried() if len(found) < NEAREST_MOST else None
        offer = nights.planned(change) if change is not None and change not in found else None
        if offer is not None:
            found.append(offer.change)
            yield offer


class _Nights:
    """A day, tried at other times with the flasks that its search has found, and with other equipment anew."""

    def __init__(self, file: Mapping[str, Any], search: DaySearch, effort: int, kilns: Rows) -> None:
        self.file, self.search, self.effort, self.kilns = file, search, effort, kilns
        self.asked = read(json.dumps(file))
        self.anew: dict[Change, DaySearch] = {}
        self.clock = f"{self.asked.pour_at:%H:%M}"

    def planned(self, change: Change) -> Offer | None:
        """A change planned from its day file; None if that day cannot work after all."""
        day = self._day(change)
        try:
            plan = self.anew.get(change, self.search).on_clock_of(day.day).plan(self.effort)
        except Refused:
            return None
        return None if needs_change(plan) else Offer(change, day, plan)

    def pour_later(self) -> Change | None:
        """The least later first pour, at an hour at which one pours."""
        for by in range(NEAREST_STEP_MIN, LATEST_SHIFT_MIN + 1, NEAREST_STEP_MIN):
            if self._pours(by):
                least = next(one for one in range(by - NEAREST_STEP_MIN + 1, by + 1) if self._pours(one))
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
        hands, more = self.asked.day.rules.hands, round(self.asked.day.rulebook.limit("more_hands"))
        changes = [Change(What.HANDS, hands + one) for one in range(1, more + 1)]
        return next((change for change in changes if self._works(self._day(change).day)), None)

    def one_more_torch(self, plan: DayPlan) -> Change | None:
        """One torch more, with a pair of hands for it, where the last pour is enough earlier for it."""
        change = Change(What.TORCHES, self.asked.day.rules.torches + 1)
        offer = self.planned(change)
        saves = round(self.asked.day.rulebook.limit("torch_saves_min"))
        return change if offer and last_pour(plan) - last_pour(offer.plan) >= saves else None

    def stronger_torch(self) -> Change | None:
        """The same torches with the least more watts into the metal with which the bench keeps up."""
        rules, book = self.asked.day.rules, self.asked.day.rulebook
        step_w, most_w = book.limit("stronger_torch_step_w"), rules.melt_w * book.limit("stronger_torch_most_pct") / 100
        if rules.melter_min is not None:
            return None
        for steps in range(int(rules.melt_w // step_w) + 1, int(most_w // step_w) + 1):
            change = Change(What.MELT_W, round(steps * step_w))
            if (offer := self.planned(change)) and not is_slow(offer.plan):
                return change
        return None

    def smaller_flasks(self) -> Change | None:
        """Only sizes with a shorter firing, where no wax is left out for it; the fewest sizes set aside that do."""
        on_bench = {self.file["previous"][label]["size"] for label in self.file.get("fixed", ())}
        search, sizes = self.search, [row["key"] for row in self.file.get("flask_sizes", ())]
        while True:
            slow = search.slowest_sizes(self.effort) - on_bench
            sizes, before = [key for key in sizes if key not in slow], sizes
            if not sizes or sizes == before:
                return None
            change = Change(What.SIZES, tuple(sizes))
            tried = self._searched(change)
            if tried is None or tried.left_out(self.effort) - self.search.left_out(self.effort):
                return None
            if self._works(tried.day, tried):
                return change
            search = tried

    def another_kiln(self, *, more_waxes: bool = False) -> Change | None:
        """The first of the school's kilns that does, beside those of the day; with `more_waxes`, that takes more."""
        used = {row["key"] for row in self.file.get("kilns", ())}
        out = self.search.left_out(self.effort)
        for spare in [row["key"] for row in self.kilns if row["key"] not in used]:
            change = Change(What.KILNS, tuple(row["key"] for row in self.kilns if row["key"] in {*used, spare}))
            tried = self._searched(change)
            left = tried.left_out(self.effort) if tried else out
            if tried and (left < out if more_waxes else left <= out) and self._works(tried.day, tried):
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

        for by in [*range(NEAREST_STEP_MIN, room, NEAREST_STEP_MIN), room]:
            if by > 0 and does(by):
                return change(next(one for one in range(max(1, by - NEAREST_STEP_MIN + 1), by + 1) if does(one)))
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

    def _day(self, change: Change) -> Day:
        return read(json.dumps(apply_change(self.file, change, self.kilns)))

    def _searched(self, change: Change) -> DaySearch | None:
        """The search of the day with other equipment; None if a held wax or a fixed flask needs what is set aside."""
        search = self.anew[change] = DaySearch(self._day(change).day)
        try:
            search.left_out(self.effort)
        except Refused:
            return None
        return search

    def _works(self, day: DayInput, search: DaySearch | None = None) -> bool:
        press_min = round(day.rulebook.limit("press_change_min"))
        late = day if day.now is None else replace(day, now=day.now + press_min)
        try:
            return (search or self.search).on_clock_of(late).works(self.effort)
        except Refused:
            return False
