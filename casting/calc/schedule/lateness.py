"""Whether a schedule asks for work before now, or loads a flask before it has set; and by how much to pour later."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from casting.calc.schedule.firing import whole_minutes
from casting.calc.schedule.steps import DaySchedule, steps_of
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Step
from casting.calc.values.enums import Do
from casting.calc.values.errors import Refused
from casting.calc.values.sentence import say

LATEST_SHIFT_MIN = 8 * 24 * 60
"""The studio's hours are known for as long before a first pour; nobody moves a day further for a flask."""

OF_KILN = (Do.LOAD, Do.KILN_ON, Do.RAMP, Do.HOLD, Do.SOAK)
CLIPPED = (Do.HAND_IN_CLOSES, Do.MOUNT)


@dataclass(frozen=True, slots=True)
class Late:
    """A step that comes too soon: `what` is its flasks or its kiln, `at` and `not_before` minutes from the pour."""

    do: Do
    what: tuple[str, ...]
    at: int
    not_before: int


class TooSoon(Refused):
    """A first pour that leaves too little time; `earliest` is the first that would do [min], None if none does."""

    def __init__(self, late: Late, earliest: int | None) -> None:
        self.late, self.earliest = late, earliest
        super().__init__("pour_at", say("the first pour is too soon for {what:,}; set a later one.", what=late.what))


def first_late(schedule: DaySchedule, day: DayInput) -> Late | None:
    """Return the first step that cannot be done at its time.

    Parameters
    ----------
    schedule : DaySchedule
        The schedule.
    day : DayInput
        The day, for now, the flasks invested and poured, and the kilns that are on.

    Returns
    -------
    Late or None
        A load before its flask has set; a pour before its flask has soaked; a step that is not done, before now.
    """
    firing = _kilns_on(schedule, day)
    set_min = whole_minutes(day.investment.set_min)
    found = [
        Late(Do.SET, (label, flask.kiln), schedule.load_at[flask.kiln], day.invested_at[label] + set_min)
        for label, flask in schedule.flasks.items()
        if label in day.invested_at
        and label not in day.poured
        and schedule.load_at[flask.kiln] < day.invested_at[label] + set_min
    ]
    shut_out = [
        Late(Do.LOAD, (label, flask.kiln), day.kiln_on_at[flask.kiln], day.kiln_on_at[flask.kiln])
        for label, flask in sorted(schedule.flasks.items())
        if flask.kiln in day.kiln_on_at and not flask.fixed
    ]
    if shut_out:  # no later pour helps: its kiln is on without it
        return shut_out[0]
    if schedule.pours and schedule.pours[0].out_at > 0:
        first = schedule.pours[0]
        found.append(Late(Do.SOAK, (first.label, first.kiln), 0, first.out_at))
    if day.now is not None:
        found += [
            Late(step.do, step.flasks if step.kiln is None else (step.kiln,), step.at, day.now)
            for step in steps_of(schedule, day)
            if step.at < day.now and not _is_done(step, day, firing)
        ]
    order = list(Do)
    return min(found, key=lambda late: (late.at, order.index(late.do), -late.not_before, late.what), default=None)


def _kilns_on(schedule: DaySchedule, day: DayInput) -> set[str]:
    """The kilns that have been on: somebody noted it, or a flask of theirs is poured."""
    return set(day.kiln_on_at) | {flask.kiln for label, flask in schedule.flasks.items() if label in day.poured}


def _is_done(step: Step, day: DayInput, firing: set[str]) -> bool:
    """Whether a step is noted as done; mounting is cut to what is left of it."""
    if step.do in CLIPPED or (step.flasks and set(step.flasks) <= set(day.poured)):
        return True
    if step.do in OF_KILN and step.kiln in firing:
        return True
    return step.do is Do.SET and set(step.flasks) <= set(day.invested_at)


def poured_later(day: DayInput, by: int) -> DayInput:
    """Return the day with its first pour later.

    Parameters
    ----------
    day : DayInput
        The day.
    by : int
        How much later [min].

    Returns
    -------
    DayInput
        The same clock times, counted from the later pour.
    """
    hours = tuple(
        replace(
            one,
            opens=one.opens - by,
            closes=one.closes - by,
            midnight=one.midnight - by,
            hand_in_until=None if one.hand_in_until is None else one.hand_in_until - by,
        )
        for one in day.hours
    )
    return replace(
        day,
        hours=hours,
        now=None if day.now is None else day.now - by,
        invested_at={label: at - by for label, at in day.invested_at.items()},
        kiln_on_at={kiln: at - by for kiln, at in day.kiln_on_at.items()},
        spilled=tuple(replace(one, at=one.at - by) for one in day.spilled),
        clock=day.clock.later(by),
    )


def refuse_too_soon(day: DayInput, schedule_of: Callable[[DayInput], DaySchedule]) -> None:
    """Refuse a day whose first pour leaves too little time, with the earliest that would do.

    Parameters
    ----------
    day : DayInput
        The day.
    schedule_of : callable
        The schedule of the plan's flasks on a day.

    Raises
    ------
    TooSoon
        If a step lies before now and is not done, or a flask is loaded before it has set.
    """
    late = first_late(schedule_of(day), day)
    if late is None:
        return

    def is_late(by: int) -> bool:
        later = poured_later(day, by)
        return first_late(schedule_of(later), later) is not None

    if is_late(LATEST_SHIFT_MIN):
        raise TooSoon(late, None)
    least, most = 0, LATEST_SHIFT_MIN
    while most - least > 1:
        middle = (least + most) // 2
        least, most = (middle, most) if is_late(middle) else (least, middle)
    raise TooSoon(late, most)
