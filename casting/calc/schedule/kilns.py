"""Which flask goes into which kiln: so that the last pour is earliest, as two kilns hold two temperatures."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

from casting.calc.kiln.loading import ShelfFlask, firing_for, firings_by_kiln, is_high_enough, shelf_faults
from casting.calc.kiln.spreading import spread
from casting.calc.schedule.firing import whole_minutes
from casting.calc.schedule.pours import Pour, PourJob, flask_temperatures, order_of_pours, pour_forward
from casting.calc.values.day_input import DayInput, Firing
from casting.calc.values.day_plan import FiringPlan, KilnPlace

EXACT = 256
"""Loads that are all judged: up to eight flasks and two kilns. Of more, flasks that are alike go together first."""


@dataclass(frozen=True, slots=True)
class Load:
    """Flasks in kilns, in order of their pours, with the temperature of each [degrees C] and the firings of kilns."""

    order: tuple[PourJob, ...]
    temperatures: Mapping[str, int]
    firings: Mapping[str, Firing]


@dataclass(frozen=True, slots=True)
class _Judged:
    """A load and how good it is, the least first."""

    kilns: tuple[str, ...]
    load: Load
    ends: int
    on_at: int

    @property
    def in_use(self) -> int:
        """How many kilns are lit."""
        return len(set(self.kilns))

    @property
    def by_end(self) -> tuple[int, int, int]:
        """By its last pour, then by how few kilns it takes, then by how late the first of them goes on."""
        return self.ends, self.in_use, -self.on_at

    @property
    def by_start(self) -> tuple[int, int, int]:
        """By how late its first kiln goes on, then by how few kilns it takes, then by its last pour."""
        return -self.on_at, self.in_use, self.ends


def load_of(
    jobs: Sequence[PourJob], shelf: Mapping[str, ShelfFlask], may_run: Mapping[str, Sequence[Firing]]
) -> Load | None:
    """Return flasks in their kilns with temperatures, order and firings.

    Parameters
    ----------
    jobs : sequence of PourJob
        The day's flasks, each in its kiln, in the order in which flasks of one temperature are poured.
    shelf : mapping of str to ShelfFlask
        The flasks as kilns see them, by label.
    may_run : mapping of str to sequence of Firing
        The firings that each kiln may run by its key, in the school's order.

    Returns
    -------
    Load or None
        None if no firing suits every flask of a kiln.
    """
    taken = {}
    for kiln in sorted({job.kiln for job in jobs}):
        firing = firing_for(may_run[kiln], [shelf[job.label] for job in jobs if job.kiln == kiln])
        if firing is None:
            return None
        taken[kiln] = firing
    temperatures = flask_temperatures(jobs)
    return Load(tuple(sorted(jobs, key=lambda job: -temperatures[job.label])), temperatures, taken)


def clocked(load: Load, day: DayInput) -> tuple[tuple[Pour, ...], tuple[FiringPlan, ...]]:
    """Return the pours of a load and how each kiln runs.

    Parameters
    ----------
    load : Load
        The load, with at least one flask.
    day : DayInput
        The day.

    Returns
    -------
    tuple of Pour, tuple of FiringPlan
        As `pour_forward` returns them, in minutes from the first pour [min].
    """
    return pour_forward(load.order, load.temperatures, load.firings, day)


def loads(
    jobs: Sequence[PourJob], shelf: Mapping[str, ShelfFlask], given: Mapping[str, KilnPlace], day: DayInput
) -> Iterator[tuple[Load, dict[str, KilnPlace]]]:
    """Yield loads of the kilns: the one whose last pour is earliest, then the one whose first kiln goes on last.

    One kiln more is lit only where it is worth it: the rule `second_kiln_min` says how much earlier the last pour
    has to be than in any load with fewer.

    Parameters
    ----------
    jobs : sequence of PourJob
        The day's flasks, each in the kiln of `given`.
    shelf : mapping of str to ShelfFlask
        The flasks as kilns see them, by label.
    given : mapping of str to KilnPlace
        Places that are known to be valid, by label.
    day : DayInput
        The day.

    Yields
    ------
    Load, dict of str to KilnPlace
        One or two, in order of preference, with places by label, spread out.

    Notes
    -----
    A fixed flask stays in its kiln, and a kiln that is on takes no flask that is not fixed. Up to `EXACT` loads
    are all judged, so none that fits ends earlier. Beyond that, flasks that are alike go together first; then
    single flasks change kilns for as long as that helps, which may miss a better load. Of equal loads the one
    with fewer kilns counts, then the one whose first kiln goes on later, then the one nearest to `given`.
    """
    search = _Search(jobs, shelf, given, day)
    best = search.ending_first()
    if best is None:  # only a kiln that is on would take some flask
        best = search.as_given()
    yield best.load, search.places(best) or dict(given)
    latest = search.best(lambda judged: judged.by_start)
    if latest is not None and latest.on_at > best.on_at:
        yield latest.load, search.places(latest) or dict(given)


class _Search:
    """The loads of a day, each judged once."""

    def __init__(
        self,
        jobs: Sequence[PourJob],
        shelf: Mapping[str, ShelfFlask],
        given: Mapping[str, KilnPlace],
        day: DayInput,
    ) -> None:
        self.jobs, self.shelf, self.given, self.day = order_of_pours(jobs, dict.fromkeys(shelf, 0)), shelf, given, day
        self.kilns = {kiln.key: kiln for kiln in day.kilns}
        self.may_run = firings_by_kiln(day.kilns, day.firings)
        self.on = set(day.kiln_on_at) | {job.kiln for job in jobs if job.label in day.poured}
        self.may = [self._kilns_for(job) for job in jobs]
        self.is_exact = _count(self.may) <= EXACT
        self._in = cache(lambda i, kiln: replace(self.jobs[i], kiln=kiln))
        self._judged: dict[tuple[str, ...], _Judged | None] = {}
        self._places: dict[tuple[str, ...], dict[str, KilnPlace] | None] = {}

    def _kilns_for(self, job: PourJob) -> tuple[str, ...]:
        """The kilns that a flask may go into, the one it was given first."""
        if job.fixed:
            return (job.kiln,)
        free = [
            kiln.key
            for kiln in self.day.kilns
            if kiln.key not in self.on and is_high_enough(kiln, self.day.rules, job.size.height_mm)
        ]
        return tuple(sorted(free, key=lambda key: key != job.kiln))

    def as_given(self) -> _Judged:
        """The load as it was given."""
        found = self.judge(tuple(job.kiln for job in self.jobs))
        if found is None:
            raise AssertionError("The kiln shelf put flasks into a kiln that no firing suits.")
        return found

    def judge(self, kilns: tuple[str, ...]) -> _Judged | None:
        """How good a load is; None if no firing suits one of its kilns."""
        if kilns not in self._judged:
            jobs = [self._in(i, kiln) for i, kiln in enumerate(kilns)]
            load = load_of(jobs, self.shelf, self.may_run)
            if load is None:
                self._judged[kilns] = None
            else:
                pours, runs = clocked(load, self.day)
                self._judged[kilns] = _Judged(kilns, load, pours[-1].out_at, min(run.on_at for run in runs))
        return self._judged[kilns]

    def ending_first(self) -> _Judged | None:
        """The load whose last pour is earliest, with each kiln worth lighting; None if none was found."""
        earliest = self.best(lambda judged: judged.by_end)
        if earliest is None:
            return None
        fewer = (self.best(lambda judged: judged.by_end, count) for count in range(1, earliest.in_use))
        found = [one for one in fewer if one is not None] + [earliest]
        worth_min = max(1, whole_minutes(self.day.rules.second_kiln_min))
        worth = [one for nth, one in enumerate(found) if all(less.ends - one.ends >= worth_min for less in found[:nth])]
        return worth[-1]

    def best(self, key: Callable[[_Judged], tuple[int, int, int]], in_use: int | None = None) -> _Judged | None:
        """The best load found that fits its kilns, of those that use so many; None if none was found."""

        def tried(loads: Iterable[tuple[str, ...]]) -> _Judged | None:
            return self._first_that_fits((one for one in loads if in_use in (None, len(set(one)))), key)

        found = tried(self._blockwise())
        while found is not None and not self.is_exact:
            better = tried(self._one_moved(found.kilns))
            if better is None or key(better) >= key(found):
                break
            found = better
        return found

    def _first_that_fits(
        self, tried: Iterable[tuple[str, ...]], key: Callable[[_Judged], tuple[int, int, int]]
    ) -> _Judged | None:
        judged = [one for one in map(self.judge, tried) if one is not None]
        return next((one for one in sorted(judged, key=key) if self.places(one) is not None), None)

    def _blockwise(self) -> Iterator[tuple[str, ...]]:
        """All loads in which the flasks of a block go together, and the one as given if it is allowed."""
        each = list(zip(self.jobs, self.may, strict=True))
        ways: list[list[Hashable]] = [
            list(range(len(each))),
            [(job.band, job.size.key, self.shelf[job.label].kind, may) for job, may in each],
            [(job.band, may) for job, may in each],
        ]
        for blocks in ways:
            may = dict(zip(blocks, self.may, strict=True))
            if _count(may.values()) <= EXACT:
                for chosen in product(*may.values()):
                    kiln = dict(zip(may, chosen, strict=True))
                    yield tuple(kiln[block] for block in blocks)
                break
        if not self.is_exact and all(self.may):
            yield tuple(may[0] for may in self.may)

    def _one_moved(self, kilns: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        """The loads with one flask in another kiln."""
        for i, may in enumerate(self.may):
            yield from ((*kilns[:i], key, *kilns[i + 1 :]) for key in may if key != kilns[i])

    def places(self, judged: _Judged) -> dict[str, KilnPlace] | None:
        """The places of a load's flasks, spread out; None if none were found."""
        if judged.kilns not in self._places:
            found: dict[str, KilnPlace] | None = {}
            for key in dict.fromkeys(judged.kilns):
                inside = [self.shelf[job.label] for job in judged.load.order if job.kiln == key]
                places = self._stay(key, inside) or self._spread(key, inside)
                if places is None or found is None:
                    found = None
                    break
                found |= dict(zip((flask.label for flask in inside), places, strict=True))
            if found is None and judged.kilns == tuple(job.kiln for job in self.jobs):
                found = dict(self.given)
            self._places[judged.kilns] = found
        return self._places[judged.kilns]

    def _stay(self, key: str, inside: Sequence[ShelfFlask]) -> list[KilnPlace] | None:
        """The places of the plan before in a kiln that is on, where they are all known and right."""
        before = [self.day.previous.get(flask.label) for flask in inside]
        places = [
            KilnPlace(key, one.kiln_x_mm, one.kiln_y_mm)
            for one in before
            if one is not None and one.kiln == key and one.kiln_x_mm is not None and one.kiln_y_mm is not None
        ]
        if key not in self.on or len(places) < len(inside):
            return None
        return None if shelf_faults(self.kilns[key], self.day.rules, inside, places) else places

    def _spread(self, key: str, inside: Sequence[ShelfFlask]) -> list[KilnPlace] | None:
        return spread(self.kilns[key], self.day.rules, inside, self.day.rulebook.limit("kiln_spread_mm"))


def _count(may: Iterable[Sequence[str]]) -> int:
    return math.prod(len(kilns) for kilns in may)
