"""Backward scheduling: from the first pour to kiln loads, mixes and mounting, within the studio's hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from casting.calc.schedule.firing import whole_minutes
from casting.calc.values.day_input import DayInput, Rules, WorkingDay
from casting.calc.values.day_plan import Bowl, FiringPlan


@dataclass(frozen=True, slots=True)
class Mix:
    """One bowl: when powder meets water, when all is poured, when everything has set [min]."""

    bowl: Bowl
    at: int
    until: int
    set_until: int


def latest_start(not_after: int, length: int, hours: Sequence[WorkingDay]) -> int | None:
    """Return the latest start within the studio's hours.

    Parameters
    ----------
    not_after : int
        The latest start regardless of hours [min].
    length : int
        Duration of the work [min].
    hours : sequence of WorkingDay
        The local days, in order; empty if hours do not count.

    Returns
    -------
    int or None
        Start [min]; None if no day has room.
    """
    if not hours:
        return not_after
    fits = [min(not_after, day.closes - length) for day in hours if day.opens <= min(not_after, day.closes - length)]
    return max(fits, default=None)


def mix_back(bowls: Sequence[Bowl], load_at: Mapping[str, int], day: DayInput) -> tuple[tuple[Mix, ...], bool]:
    """Return when each bowl is mixed: as late as setting time, vacuum table and hours allow.

    Parameters
    ----------
    bowls : sequence of Bowl
        The day's bowls.
    load_at : mapping of str to int
        When each flask is loaded, by label [min].
    day : DayInput
        The day, for its investment, rules and hours.

    Returns
    -------
    tuple of Mix
        In the order they are mixed.
    bool
        False if a mix had to be placed outside the hours.
    """
    length = int(day.working_min * day.rulebook.limit("mix_done_pct") / 100 + 1e-9)
    set_min, pitch = whole_minutes(day.investment.set_min), whole_minutes(day.rules.bowl_pitch_min)
    latest = [(min(load_at[label] for label in bowl.flasks) - set_min - length, bowl) for bowl in bowls]
    latest.sort(key=lambda pair: (-pair[0], pair[1].flasks))
    mixes: list[Mix] = []
    inside = True
    for not_after, bowl in latest:
        wanted = min(not_after, mixes[-1].at - pitch) if mixes else not_after
        at = latest_start(wanted, length, day.hours)
        if at is None:
            at, inside = wanted, False
        mixes.append(Mix(bowl, at, at + length, at + length + set_min))
    return tuple(reversed(mixes)), inside


def load_times(firings: Sequence[FiringPlan], hours: Sequence[WorkingDay]) -> tuple[dict[str, int], bool]:
    """Return when each kiln is loaded: as late as its switch-on and the hours allow.

    Parameters
    ----------
    firings : sequence of FiringPlan
        The kilns' runs.
    hours : sequence of WorkingDay
        The local days, in order; empty if hours do not count.

    Returns
    -------
    dict of str to int
        By kiln [min].
    bool
        False if a load had to be placed outside the hours.
    """
    found = {firing.kiln: latest_start(firing.on_at, 0, hours) for firing in firings}
    times = {firing.kiln: firing.on_at if found[firing.kiln] is None else found[firing.kiln] for firing in firings}
    return {kiln: at for kiln, at in times.items() if at is not None}, None not in found.values()


def mount_min(waxes: int, flasks: int, rules: Rules) -> int:
    """Return how long it takes to mount waxes on their bases.

    Parameters
    ----------
    waxes, flasks : int
        Numbers to be mounted.
    rules : Rules
        Minutes for each, the hands that share the work, and the least in all.

    Returns
    -------
    int
        Time [min].
    """
    shared = (rules.mount_min_per_wax * waxes + rules.mount_min_per_flask * flasks) / rules.hands
    return whole_minutes(max(rules.mount_floor_min, shared))


def working_day(at: int, hours: Sequence[WorkingDay]) -> WorkingDay | None:
    """Return the local day that a minute falls in.

    Parameters
    ----------
    at : int
        Minutes from the first pour.
    hours : sequence of WorkingDay
        The local days, in order.

    Returns
    -------
    WorkingDay or None
        None if there are no hours, or nobody is there on that day.
    """
    return next((day for day in hours if day.midnight <= at < day.midnight + day.lasts_min), None)
