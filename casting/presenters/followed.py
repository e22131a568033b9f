"""A student's waxes on the casting day: where each is in the plan, how far it has come, when it pours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.utils.timezone import now
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do, Reason, Tick
from casting.dayfile import read_kept
from casting.models import CastingDay, FlaskMishap, Plan
from casting.presenters.formats import SchoolUnits, units_of
from casting.presenters.mishap_told import told_of
from casting.presenters.on_bench import (
    GIVEN_BACK,
    IN_KILN,
    INVESTED,
    MOUNTED,
    POURED,
    QUENCHED,
    STAGES,
    stages_of,
)
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_reader import plan_sheet_of
from casting.presenters.plan_sheet import FlaskSheet, LeftOutLine, PlanSheet, WaxName
from casting.presenters.running.expected import Expected
from casting.presenters.running.kiln_room import as_it_goes
from casting.presenters.wax_in_flask import WaxInFlask, priced, prices_of
from casting.presenters.wording import in_units
from casting.selectors.board import kept_now
from casting.selectors.day_file import changed_among
from casting.selectors.flasks import BenchState, Noted, Notes, bench_of, noted_on
from casting.selectors.mishaps import mishaps_of
from casting.selectors.mounted import WeighedBase

PLANNED = "planned"


@dataclass(frozen=True, slots=True)
class Stage:
    """A station on the way of a piece: done, the one where it is, or still to come."""

    word: str
    done: bool
    here: bool


@dataclass(frozen=True, slots=True)
class Followed:
    """A wax that the last plan has in a flask, as it is now, with how far the flask has come."""

    found: WaxInFlask
    stage: str
    noted: BenchState
    out_at: datetime | None
    collected: Noted | None = None
    expected: Expected | None = None
    """When its flask pours as the day goes; None before the day is under way, or if it does not pour any more."""

    @property
    def pours_at(self) -> datetime:
        """When its flask pours as far as is known now: as the page of the pours says."""
        return self.expected.out_at if self.expected else self.flask.out_at

    @property
    def cleaned_at(self) -> datetime | None:
        """When it is out of its investment: as much later than planned as its pour is."""
        late = self.expected.out_at - self.expected.planned_at if self.expected else timedelta()
        return self.out_at + late if self.out_at else None

    @property
    def flask(self) -> FlaskSheet:
        """Its flask."""
        return self.found.flask

    @property
    def invested_at(self) -> datetime | None:
        """When it was invested, while it waits for its pour."""
        return self.noted.at if self.stage in (INVESTED, IN_KILN) else None

    @property
    def poured_at(self) -> datetime | None:
        """When it was poured, as somebody noted."""
        return self.noted.at if self.is_poured else None

    @property
    def quenched_at(self) -> datetime | None:
        """When its flask went into water, or was cold, as somebody noted."""
        return self.noted.quenched.at if self.noted.quenched else None

    @property
    def given_back_at(self) -> datetime | None:
        """When its student got it, as somebody noted."""
        return self.collected.at if self.collected else None

    @property
    def is_poured(self) -> bool:
        """Whether its flask is poured."""
        return self.stage in (POURED, QUENCHED, GIVEN_BACK)

    @property
    def may_move(self) -> bool:
        """Whether a later plan may still put it elsewhere."""
        return self.stage in (PLANNED, MOUNTED)

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The way of the piece, in order."""
        words = {
            PLANNED: _("planned"),
            MOUNTED: _("mounted"),
            INVESTED: _("invested"),
            IN_KILN: _("in kiln"),
            POURED: _("poured"),
            QUENCHED: _("cooled") if self.flask.cools_in_air else _("quenched"),
            GIVEN_BACK: _("given back"),
        }
        order = (PLANNED, MOUNTED, *STAGES)
        here = order.index(self.stage)
        return tuple(Stage(words[one], nth <= here, nth == here) for nth, one in enumerate(order))

    @property
    def stage_words(self) -> str:
        """Where the piece is, and what comes next, for those who see the bar of its way."""
        order = self.stages
        nth = next(nth for nth, one in enumerate(order) if one.here)
        if nth + 1 == len(order):
            return order[nth].word
        return _("%(here)s, then %(next)s") % {"here": order[nth].word, "next": order[nth + 1].word}


@dataclass(frozen=True, slots=True)
class Following:
    """What the last plan of a day says of a student's waxes, by tag: in a flask, left out, or changed since."""

    in_flask: Mapping[str, Followed]
    left_out: Mapping[str, LeftOutLine]
    changed: Set[str]


NOTHING = Following({}, {}, frozenset())


def following_of(day: CastingDay, whats: Mapping[str, str]) -> Following:
    """Return what the last plan of a day says of the waxes of these tags, each with what its student calls it.

    A wax that was changed since is only told to be so, unless its flask is invested. At most six queries.
    """
    last = Plan.objects.latest_of(day) if whats else None
    if last is None:
        return NOTHING
    states, notes = day.states(), noted_on(day)
    kilns_on = {what: noted.at for (do, what), noted in notes.items() if do == Do.KILN_ON}
    names = {tag: WaxName(tag, "", what) for tag, what in whats.items()}
    file = read_kept(last.day_file)
    mishaps = mishaps_of(day)
    met = told_of(mishaps, states, file.zone)
    weighed = {what: WeighedBase.of(noted.figures) for (do, what), noted in notes.items() if do == Tick.WEIGHED}
    sheet = plan_sheet_of(last.file, file, names, states, kilns_on, weighed=weighed, mishaps=met)
    changed = changed_among(last, whats).keys()
    kiln_of = {flask.label: flask.kiln for flask in sheet.flasks}
    bench = bench_of(states, notes)
    stages = stages_of(states, kiln_of, kilns_on, [label for label, one in bench.items() if one.quenched])
    prices = prices_of(last)
    cleaned = _cleaned_out(sheet)
    expected = _expected(OpenedPlan.holding(last, file, sheet), notes, mishaps)
    units = units_of(day.course.school)
    in_flask = {
        one.name.tag: Followed(
            priced(one, flask, prices),
            _stage(_of_flask(flask, stages), notes.get((Tick.COLLECTED, one.name.tag))),
            bench.get(flask.label, BenchState()),
            cleaned.get(flask.label),
            notes.get((Tick.COLLECTED, one.name.tag)),
            expected.get(flask.label),
        )
        for flask in sheet.flasks
        for one in flask.waxes
        if one.name.tag in whats and (flask.label in states or one.name.tag not in changed)
    }
    out = [line for line in sheet.left_out if line.name.tag in whats and line.name.tag not in changed]
    return Following(in_flask, _left_out(day, out, units), changed - in_flask.keys())


def _expected(opened: OpenedPlan, notes: Notes, mishaps: Sequence[FlaskMishap]) -> Mapping[str, Expected]:
    """When each flask pours, as the page of the pours has it; nothing before a step is noted or a kiln is due."""
    at_now = now().astimezone(opened.day.zone)
    under_way = mishaps or notes or any(at_now > night.on_at for night in opened.sheet.kilns)
    if not under_way:
        return {}
    poured = {what: noted.at for (do, what), noted in notes.items() if do == Do.POUR}
    return as_it_goes(opened, poured, at_now, mishaps)[1]


def _of_flask(flask: FlaskSheet, stages: Mapping[str, str]) -> str:
    """How far a flask is; on its base once that is weighed with the waxes that it has."""
    return stages.get(flask.label) or (MOUNTED if flask.mounted else PLANNED)


def _stage(of_flask: str, collected: Noted | None) -> str:
    """How far a piece is: with its flask until it is given back."""
    return GIVEN_BACK if collected and of_flask in (POURED, QUENCHED) else of_flask


def _left_out(day: CastingDay, lines: Sequence[LeftOutLine], units: SchoolUnits) -> dict[str, LeftOutLine]:
    """Why each wax is left out, said to its student. One query if a teacher left any out."""
    by_hand = any(line.reason == Reason.KEPT_OUT for line in lines)
    broken = kept_now(day).broken if by_hand else frozenset()
    said = {}
    for line in lines:
        told = replace(line, detail=in_units(line.detail, units), cure=line.cure and in_units(line.cure, units))
        if line.reason == Reason.KEPT_OUT and line.key in broken:
            cure = _("make it again and weigh it in as a new wax")
            told = replace(line, detail=_("It broke on the bench."), cure=cure)
        said[line.name.tag] = told
    return said


def _cleaned_out(sheet: PlanSheet) -> dict[str, datetime]:
    """When each flask is cleaned out of its investment."""
    return {label: step.until for step in sheet.steps if step.do is Do.DIVEST for label in step.flasks}
