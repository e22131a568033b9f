"""The plan of a casting day: the only module that joins grouping, layout and schedule."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from casting.calc.cautions.materials import cautions_for
from casting.calc.cautions.people import people_cautions
from casting.calc.cautions.rulebook import raised
from casting.calc.cautions.stones import stones_limit_c
from casting.calc.grouping.budget import EFFORT
from casting.calc.grouping.filled import FilledFlask, fill_all
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.group import GroupingSearch
from casting.calc.grouping.labels import relabel
from casting.calc.kiln.loading import ShelfFlask, firing_for
from casting.calc.quantities.bowls import fill_bowls, too_large_for_bowl
from casting.calc.quantities.cost import totals_of
from casting.calc.quantities.investment import powder_for, water_for
from casting.calc.schedule.backward import load_times, mix_back, working_day
from casting.calc.schedule.bench_pace import pace_cautions
from casting.calc.schedule.firing import written_min
from casting.calc.schedule.flask_temperature import band_of
from casting.calc.schedule.kilns import Load, clocked, loads
from casting.calc.schedule.lateness import TooSoon, first_late, refuse_too_soon
from casting.calc.schedule.pours import PourJob
from casting.calc.schedule.slow_flasks import slow_flask_cautions
from casting.calc.schedule.steps import DaySchedule, hand_in_closes, steps_of
from casting.calc.values.day_input import COLD_C, DayInput
from casting.calc.values.day_plan import Bowl, Caution, DayPlan, FlaskPlan, Grouping
from casting.calc.values.enums import Kind
from casting.calc.values.errors import Refused
from casting.calc.values.tolerances import SLACK


def plan_day(day: DayInput, effort: int = EFFORT) -> DayPlan:
    """Return the plan of a day.

    Parameters
    ----------
    day : DayInput
        The day, in any order of its lists of waxes.
    effort : int
        Work units, at least 1; more never gives a worse plan.

    Returns
    -------
    DayPlan
        Times in whole minutes from the first pour [min]. Same day, effort and library
        versions: the same plan.

    Raises
    ------
    Refused
        If held or fixed waxes cannot be kept as asked.
    """
    return next(improving_plans(day, [effort]))


def improving_plans(day: DayInput, efforts: Sequence[int]) -> Iterator[DayPlan]:
    """Yield a plan of a day for each effort, each search resuming from the last.

    Parameters
    ----------
    day : DayInput
        The day, in any order of its lists of waxes.
    efforts : sequence of int
        Work units, at least 1, rising.

    Yields
    ------
    DayPlan
        Never worse than the previous one; the last one is the plan that is proved best, or that of the last effort.

    Raises
    ------
    Refused
        If held or fixed waxes cannot be kept as asked, or the first pour leaves too little time.
    """
    yield from DaySearch(day).improving(efforts)


class DaySearch:
    """The searches of a day, with all flask sizes and without the slowest, each resuming where it stopped."""

    def __init__(self, day: DayInput) -> None:
        self.day = day
        self._searches: dict[frozenset[str], GroupingSearch] = {}
        self._loaded: dict[tuple[frozenset[str], int], tuple[_Loaded, ...]] = {}

    def on_clock_of(self, day: DayInput) -> DaySearch:
        """The search of the same waxes at other hours or with other hands, with all that this one has found."""
        other = DaySearch(day)
        other._searches = self._searches
        if day.rules == self.day.rules and not day.kiln_on_at:
            other._loaded = self._loaded
        return other

    def improving(self, efforts: Sequence[int]) -> Iterator[DayPlan]:
        """Plans for rising efforts; see `improving_plans`."""
        found = False
        for effort in efforts:
            try:
                plan = self.plan(effort)
            except TooSoon:
                if not found and (effort == efforts[-1] or self.is_finished):
                    raise
            else:
                found = True
                yield plan
            if self.is_finished:
                break

    @property
    def is_finished(self) -> bool:
        """Whether more effort finds no better plan."""
        return all(search.is_finished for search in self._searches.values())

    def plan(self, effort: int) -> DayPlan:
        """The plan of an effort, with hand-in open as long as asked for if that leaves no more waxes out."""
        draft = self._drafted(effort)
        early = [raised(self.day.rulebook, "hand-in-early")] if draft.closes_too_early() else []
        return draft.plan(*early)

    def sooner(self, cheapest: DayPlan, effort: int) -> DayPlan | None:
        """A plan with as many flasks and waxes out that ends earlier for little more cost; None if none was found.

        Found as if mixing sections cost nothing, costed as the day asks; the cheapest plan's bounds are its own too.
        """
        if all(len({self.day.wax(key).section for key in flask.metal_g}) == 1 for flask in cheapest.flasks):
            return None
        free = replace(self.day, rules=replace(self.day.rules, mixed_cost=0.0))
        grouping = GroupingSearch(free, frozenset()).run(effort)
        proof = replace(cheapest.proof, proved=False)
        draft = _Draft(self.day, _loaded(self.day, replace(grouping, proof=proof)))
        plan = draft.plan() if draft.works else None
        return plan if plan is not None and _is_sooner(plan, cheapest, self.day) else None

    def left_out(self, effort: int) -> frozenset[str]:
        """The waxes that the plan of an effort leaves out, in time or not."""
        return frozenset(self._drafted(effort).left_out_keys())

    def slowest_sizes(self, effort: int) -> frozenset[str]:
        """The flask sizes that need a firing at least as long as the longest of the plan of an effort."""
        return self._drafted(effort).slowest_sizes()

    def works(self, effort: int) -> bool:
        """Whether the plan of an effort is in time, with all of its mounting, and keeps the hours and the hand-in."""
        draft = self._drafted(effort)
        closes = hand_in_closes(draft.schedule, self.day)
        return draft.works and (closes is None or self.day.now is None or closes >= self.day.now)

    def _drafted(self, effort: int) -> _Draft:
        first = self._draft(effort, frozenset())
        if self._searches[frozenset()].is_settled:
            return first
        return (first.closes_too_early() and self._closing_later(first, effort)) or first

    def _draft(self, effort: int, without: frozenset[str]) -> _Draft:
        if (without, effort) not in self._loaded:
            if without not in self._searches:
                self._searches[without] = GroupingSearch(self.day, without)
            self._loaded[without, effort] = _loaded(self.day, self._searches[without].run(effort))
        return _Draft(self.day, self._loaded[without, effort])

    def _closing_later(self, first: _Draft, effort: int) -> _Draft | None:
        """The day without the slowest sizes, if that lets hand-in stay open and leaves no more waxes out."""
        draft, without = first, frozenset[str]()
        while draft.closes_too_early():
            slow = draft.slowest_sizes() - without
            if not slow:
                return None
            without |= slow
            try:
                draft = self._draft(effort, without)
            except Refused:  # a held wax needs one of those sizes
                return None
            if not set(draft.left_out_keys()) <= set(first.left_out_keys()):
                return None
        return draft


@dataclass(frozen=True, slots=True)
class _Loaded:
    """A day's flasks in its kilns, under their labels."""

    grouping: Grouping
    filled: Mapping[str, FilledFlask]
    load: Load


class _Draft:
    """A day's flasks put on the clock: in the first way of loading the kilns that works, else the last."""

    def __init__(self, day: DayInput, ways: Sequence[_Loaded]) -> None:
        self.day = day
        for way in ways:
            self.grouping, self.filled, self.load = way.grouping, way.filled, way.load
            self.schedule, self.hours_kept = self._on_the_clock(day, way.load)
            in_time = self.hours_kept and not self.closes_too_early()
            self.works = in_time and first_late(self.schedule, day) is None
            if self.works:
                break

    def _on_the_clock(self, day: DayInput, load: Load) -> tuple[DaySchedule, bool]:
        """Pours forward from the first, loads and mixes back from it, and whether the studio's hours are kept."""
        order = load.order
        pours, firings = clocked(load, day)
        kiln_load, loads_inside = load_times([f for f in firings if f.kiln not in day.kiln_on_at], day.hours)
        kiln_load |= day.kiln_on_at
        to_invest = {f.label: f.size for f in order if not f.fixed}
        kilns = {f.label: f.kiln for f in order}
        bowls = fill_bowls(to_invest, kilns, day)
        mixes, mixes_inside = mix_back(bowls, {label: kiln_load[kiln] for label, kiln in kilns.items()}, day)
        schedule = DaySchedule(
            flasks={f.label: f for f in order},
            pours=pours,
            firings=firings,
            mixes=mixes,
            load_at=kiln_load,
            waxes_to_mount=sum(len(self.filled[label].metal_g) for label in to_invest),
        )
        return schedule, loads_inside and mixes_inside

    def left_out_keys(self) -> list[str]:
        """The waxes that this draft leaves out."""
        return [left.key for left in self.grouping.left_out]

    def closes_too_early(self) -> bool:
        """Whether hand-in closes before the hour asked for on that local day."""
        closes = hand_in_closes(self.schedule, self.day)
        if closes is None:
            return False
        local = working_day(closes, self.day.hours)
        return local is not None and local.hand_in_until is not None and closes < local.hand_in_until

    def slowest_sizes(self) -> frozenset[str]:
        """The flask sizes that need a firing at least as long as the longest in use."""
        longest = max((written_min(one.segments, COLD_C) for one in self.load.firings.values()), default=math.inf)
        shapes = {
            size.key: ShelfFlask(size.key, 0, size.diameter_mm, size.height_mm, Kind.WAX)
            for size in self.day.flask_sizes
        }
        needs = {key: firing_for(self.day.firings, [shape]) for key, shape in shapes.items()}
        return frozenset(
            key for key, firing in needs.items() if firing and written_min(firing.segments, COLD_C) >= longest
        )

    def plan(self, *more: Caution) -> DayPlan:
        """This draft, written out."""
        day, schedule = self.day, self.schedule
        refuse_too_soon(day, lambda later: self._on_the_clock(later, self.load)[0])
        flasks = tuple(self._flask(pour_nth) for pour_nth in range(len(schedule.pours)))
        bowls = tuple(mix.bowl for mix in schedule.mixes)
        steps = steps_of(schedule, day)
        of_people = people_cautions(steps, schedule.firings, day)
        said = [*more, *self._bowl_cautions(bowls), *self._charge_cautions(), *of_people]
        said += pace_cautions(schedule.pours, self.load, day)
        said += slow_flask_cautions(self.load, _shelf(self.filled), day, lambda less: self._on_the_clock(day, less)[0])
        return DayPlan(
            flasks=flasks,
            bowls=bowls,
            left_out=tuple(sorted(self.grouping.left_out, key=lambda left: left.key)),
            totals=totals_of(flasks, bowls, day),
            proof=self.grouping.proof,
            firings=schedule.firings,
            steps=steps,
            cautions=cautions_for(day, flasks, schedule.firings, tuple(said)),
            moved=self.grouping.moved,
        )

    def _flask(self, nth: int) -> FlaskPlan:
        pour, day = self.schedule.pours[nth], self.day
        filled, place = self.filled[pour.label], self.grouping.kiln_places[pour.label]
        powder_g = powder_for(filled.size, day.investment)
        return FlaskPlan(
            label=pour.label,
            size=filled.size.key,
            alloy=filled.alloy,
            owner=filled.owner,
            section=filled.sections[0],
            kind=filled.kind,
            places=filled.group.places,
            metal_g=filled.metal_g,
            wax_metal_g=sum(filled.metal_g.values()),
            button_g=filled.button_g,
            charge_g=filled.charge_g,
            powder_g=powder_g,
            water_g=water_for(powder_g, day.investment),
            flask_c=pour.flask_c,
            pour_c=day.alloys[filled.alloy].pour_c,
            kiln=place.kiln,
            kiln_x_mm=place.x_mm,
            kiln_y_mm=place.y_mm,
            out_at=pour.out_at,
            quench_at=pour.quench_at,
            trunk_g=filled.trunk_g,
            by_hand=filled.by_hand,
            spots_by_hand=filled.spots_by_hand,
            beyond_reach=filled.beyond_reach,
        )

    def _charge_cautions(self) -> list[Caution]:
        """A caution for each invested flask whose charge is no longer what it was when it was invested."""
        return [
            raised(self.day.rulebook, "charge-changed", flask=label, before=before, now=self.filled[label].charge_g)
            for label, before in sorted(self.day.charged_g.items())
            if label not in self.day.poured and abs(self.filled[label].charge_g - before) > SLACK
        ]

    def _bowl_cautions(self, bowls: Sequence[Bowl]) -> list[Caution]:
        """A caution for each bowl that one flask's slurry alone fills too far."""
        found = []
        for bowl in bowls:
            sizes = [self.filled[label].size for label in bowl.flasks]
            if too_large_for_bowl(sizes, self.day):
                found.append(
                    raised(
                        self.day.rulebook,
                        "bowl-full",
                        flask=bowl.flasks[0],
                        powder=bowl.powder_g,
                        bowl=self.day.rules.bowl_ml,
                    )
                )
        return found


def _loaded(day: DayInput, grouping: Grouping) -> tuple[_Loaded, ...]:
    """The ways to load the kilns with these flasks, the best first."""
    rules = FlaskRules(day)
    filled = fill_all(grouping, rules)
    shelf = _shelf(filled)
    jobs = _to_pour(grouping, filled, day)
    found = []
    for load, places in loads(jobs, shelf, grouping.kiln_places, day) if jobs else [(Load((), {}, {}), {})]:
        labelled = relabel(replace(grouping, kiln_places=places), day, [flask.label for flask in load.order])
        found.append(_Loaded(labelled, fill_all(labelled, rules), _relabelled(load, grouping, labelled)))
    return tuple(found)


def _is_sooner(plan: DayPlan, cheapest: DayPlan, day: DayInput) -> bool:
    """Whether a plan gives up no wax and no flask, costs little more, and its last pour is earlier by the limit."""
    ends, end = plan.totals.last_pour_at, cheapest.totals.last_pour_at
    return (
        ends is not None
        and end is not None
        and end - ends >= day.rulebook.limit("sooner_least_min")
        and {left.key for left in plan.left_out} == {left.key for left in cheapest.left_out}
        and plan.totals.flasks == cheapest.totals.flasks
        and plan.totals.cost <= cheapest.totals.cost * (1 + day.rulebook.limit("sooner_cost_pct") / 100) + SLACK
    )


def _shelf(filled: Mapping[str, FilledFlask]) -> dict[str, ShelfFlask]:
    """The flasks as kilns see them."""
    return {
        label: ShelfFlask(label, f.size.outside_mm, f.size.diameter_mm, f.size.height_mm, f.kind)
        for label, f in filled.items()
    }


def _relabelled(load: Load, before: Grouping, after: Grouping) -> Load:
    """A load under the labels of a relabelled grouping."""
    by_waxes = {frozenset(group.places): group.label for group in after.groups}
    label = {group.label: by_waxes[frozenset(group.places)] for group in before.groups}
    return Load(
        tuple(replace(job, label=label[job.label]) for job in load.order),
        {label[old]: flask_c for old, flask_c in load.temperatures.items()},
        load.firings,
    )


def _to_pour(grouping: Grouping, filled: Mapping[str, FilledFlask], day: DayInput) -> list[PourJob]:
    """The flasks as the schedule needs them."""
    return [
        PourJob(
            label=label,
            first_wax=min(flask.metal_g),
            size=flask.size,
            alloy=day.alloys[flask.alloy],
            charge_g=flask.charge_g,
            band=band_of(
                day.alloys[flask.alloy],
                flask.sections,
                day.rulebook,
                stones_limit_c(day) if flask.kind is Kind.STONES else math.inf,
            ),
            kiln=grouping.kiln_places[label].kiln,
            fixed=label in day.fixed,
            stones=flask.kind is Kind.STONES,
        )
        for label, flask in filled.items()
    ]
