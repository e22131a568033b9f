"""Forward scheduling: the order of the pours, each pour and quench, and each kiln's run."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from casting.calc.quantities.alloy import Colour, colour
from casting.calc.quantities.lookup import by_diameter
from casting.calc.schedule.firing import fire, ramp_min, soak_of, whole_minutes
from casting.calc.schedule.flask_temperature import Band, share_temperatures
from casting.calc.schedule.melts import Melt, Torches
from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_input import Alloy, DayInput, Firing, FlaskSize, Kiln
from casting.calc.values.day_plan import FiredSegment, FiringPlan

FEW_HANDS, QUENCH_CLEAR_MIN = 3, 2
"""With fewer hands, no quench in the minutes before a pour or during one."""


@dataclass(frozen=True, slots=True)
class PourJob:
    """A flask to be poured; `first_wax` breaks ties independently of the label."""

    label: str
    first_wax: str
    size: FlaskSize
    alloy: Alloy
    charge_g: float
    band: Band
    kiln: str
    fixed: bool
    stones: bool = False


@dataclass(frozen=True, slots=True)
class Pour:
    """One pour: when the flask leaves the kiln, when the vacuum is released, when it goes into water [min]."""

    label: str
    kiln: str
    flask_c: int
    out_at: int
    until: int
    quench_at: int
    melt: Melt


def flask_temperatures(flasks: Sequence[PourJob]) -> dict[str, int]:
    """Return the temperature of each flask at its pour.

    Parameters
    ----------
    flasks : sequence of PourJob
        The day's flasks.

    Returns
    -------
    dict of str to int
        By label [degrees C]; flasks of one kiln share temperatures where their bands allow.
    """
    temperatures: dict[str, int] = {}
    for kiln in sorted({flask.kiln for flask in flasks}):
        temperatures |= share_temperatures({f.label: f.band for f in flasks if f.kiln == kiln})
    return temperatures


def order_of_pours(flasks: Sequence[PourJob], temperatures: Mapping[str, int]) -> list[PourJob]:
    """Return the flasks in the order they are poured.

    Parameters
    ----------
    flasks : sequence of PourJob
        The day's flasks.
    temperatures : mapping of str to int
        Flask temperature by label [degrees C].

    Returns
    -------
    list of PourJob
        Hot to cool; within a temperature one alloy after another, from white to yellow to red
        metals, small flasks first.
    """
    colours = list(Colour)
    return sorted(
        flasks,
        key=lambda flask: (
            -temperatures[flask.label],
            colours.index(colour(flask.alloy.composition_pct, f"{flask.alloy.key} {flask.alloy.name}")),
            flask.alloy.key,
            flask.size.diameter_mm,
            flask.size.height_mm,
            flask.first_wax,
        ),
    )


class _KilnClock:
    """The falls of one kiln from temperature to temperature while its flasks are poured."""

    def __init__(self, kiln: Kiln, firing: Firing, book: Rulebook, noted_on: int | None = None) -> None:
        self.kiln, self.firing, self.book, self.noted_on = kiln, firing, book, noted_on
        self.rise = fire(firing, kiln)
        self.on_at: int | None = None
        self.now_c = self.rise[-1].to_c
        self.left_at = self.reached_at = 0
        self.fall_c = 0.0
        self.after_top = True
        self.cooling: list[FiredSegment] = []

    def ready(self, flask: PourJob, flask_c: int, slack_min: int) -> int:
        """When this flask has soaked; before that the kiln is switched on, or falls, as needed."""
        fall = ramp_min(self.now_c, flask_c, self.kiln.cool_c_per_h)
        if self.on_at is None:
            self.fall_c = abs(self.now_c - flask_c)
            self.reached_at = -slack_min - soak_of(flask.size, self.fall_c, True, self.book).needed_min
            self.left_at = self.reached_at - fall
            self.on_at = self.left_at - self.rise[-1].ends_at
            if self.noted_on is not None:
                later = self.noted_on - self.on_at
                self.on_at, self.left_at, self.reached_at = self.noted_on, self.left_at + later, self.reached_at + later
            self.now_c = flask_c
        elif flask_c != self.now_c:
            self.close()
            self.fall_c, self.after_top = abs(self.now_c - flask_c), False
            self.reached_at, self.now_c = self.left_at + fall, flask_c
        return self.reached_at + soak_of(flask.size, self.fall_c, self.after_top, self.book).needed_min

    def out(self, at: int) -> None:
        """A flask leaves the kiln."""
        self.last_out = at

    def close(self) -> None:
        """The last flask of this temperature is out: its segment ends."""
        hold = self.last_out - self.reached_at
        self.cooling.append(
            FiredSegment(
                self.kiln.cool_c_per_h, self.now_c, hold, self.left_at, self.reached_at, self.last_out, cooling=True
            )
        )
        self.left_at = self.last_out

    def plan(self) -> FiringPlan:
        """The whole run of the kiln."""
        self.close()
        on_at = self.on_at or 0
        rise = tuple(
            FiredSegment(
                s.ramp_c_per_h, s.to_c, s.hold_min, on_at + s.starts_at, on_at + s.reached_at, on_at + s.ends_at, False
            )
            for s in self.rise
        )
        return FiringPlan(self.kiln.key, self.firing.key, on_at, rise + tuple(self.cooling))


def pour_forward(
    ordered: Sequence[PourJob],
    temperatures: Mapping[str, int],
    firings: Mapping[str, Firing],
    day: DayInput,
    poured: Mapping[str, int] | None = None,
    not_before: Mapping[str, int] | None = None,
) -> tuple[tuple[Pour, ...], tuple[FiringPlan, ...]]:
    """Return when each flask is poured and quenched, and how each kiln runs.

    Parameters
    ----------
    ordered : sequence of PourJob
        In the order of pours.
    temperatures : mapping of str to int
        Flask temperature by label [degrees C].
    firings : mapping of str to Firing
        The firing of each kiln in use, by the kiln's key.
    day : DayInput
        The day, for its kilns and rules.
    poured : mapping of str to int, optional
        Once the day is under way: when flasks were poured, as somebody noted [min]. They come first, in that order,
        and no other flask is poured before the day's `now`.
    not_before : mapping of str to int, optional
        From when flasks that are late can leave their kiln [min].

    Returns
    -------
    tuple of Pour
        In order; the first at minute 0, or later if a kiln that is on already is not ready by then.
    tuple of FiringPlan
        One for each kiln in use, in the day's order of kilns. Every kiln's first flask has
        soaked `slack_min` before the first pour of the day, and waits.

    Notes
    -----
    A flask stays in its kiln until its metal is ready: a pour comes `pitch_min` and `pour_min` after
    the one before, and no earlier than a torch that is free can melt its charge.
    """
    rules = day.rules
    book = day.rulebook
    clocks = {
        kiln.key: _KilnClock(kiln, firings[kiln.key], book, day.kiln_on_at.get(kiln.key))
        for kiln in day.kilns
        if kiln.key in firings
    }
    gap = max(whole_minutes(rules.pitch_min), whole_minutes(rules.pour_min))
    done = poured or {}
    late = not_before or {}
    least = day.now if done and day.now is not None else 0
    if poured is not None and day.now is not None:
        least = max(least, day.now)
    pours: list[tuple[PourJob, Melt]] = []
    torches = Torches(day)
    for flask in sorted(ordered, key=lambda one: done.get(one.label, math.inf)):
        clock = clocks[flask.kiln]
        at = clock.ready(flask, temperatures[flask.label], whole_minutes(rules.slack_min))
        at = max(at, least, late.get(flask.label, at), pours[-1][1].until + gap if pours else at)
        if flask.label in done:
            melt = torches.melted(flask.charge_g, flask.alloy, done[flask.label])
        else:
            melt = torches.melt(flask.charge_g, flask.alloy, at)
        clock.out(melt.until)
        pours.append((flask, melt))
    busy = [(melt.until - QUENCH_CLEAR_MIN, melt.until + whole_minutes(rules.pour_min)) for _, melt in pours]
    timed = tuple(_pour(flask, melt, temperatures[flask.label], busy, day) for flask, melt in pours)
    return timed, tuple(clock.plan() for clock in clocks.values())


def wait_min(alloy: Alloy, size: FlaskSize, day: DayInput, *, stones: bool) -> int:
    """Return how long a flask stands after its pour before it goes into water, or is cold.

    Parameters
    ----------
    alloy : Alloy
        The metal in it.
    size : FlaskSize
        Its size.
    day : DayInput
        The day, for its limits.
    stones : bool
        Whether stones are in it, which cool in air.

    Returns
    -------
    int
        Whole minutes, rounded up, after the vacuum is released [min].
    """
    if stones:
        return whole_minutes(day.rulebook.limit("stones_cool_min"))
    return whole_minutes(by_diameter(alloy.quench_min_by_diameter, size.diameter_mm))


def _pour(flask: PourJob, melt: Melt, flask_c: int, busy: list[tuple[int, int]], day: DayInput) -> Pour:
    """A pour with its quench, which keeps clear of other pours when hands are few; stones cool in air instead."""
    rules, at = day.rules, melt.until
    until = at + whole_minutes(rules.pour_min)
    quench = until + wait_min(flask.alloy, flask.size, day, stones=flask.stones)
    if flask.stones:
        return Pour(flask.label, flask.kiln, flask_c, at, until, quench, melt)
    if rules.hands < FEW_HANDS:
        for start, end in busy:
            if start < quench < end:
                quench = end
    return Pour(flask.label, flask.kiln, flask_c, at, until, quench, melt)
