"""Two plans of a day side by side: the board's and another, flask by flask, with what differs marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from casting.dayfile.writing import lay_out
from casting.models import BoardStep, CastingDay, Plan
from casting.models.errors import NotPlanned
from casting.presenters.board import Figure
from casting.presenters.board_history import words_of
from casting.presenters.clock_change import instant
from casting.presenters.formats import SchoolUnits, day_clock, degrees, money, to_weigh, to_weigh_on
from casting.presenters.lengths import flask_size_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_changes import File, FlaskChange, changes_between, day_figures
from casting.presenters.plan_sheet import FlaskSheet
from casting.selectors.day_file import day_values_of, still_offered
from casting.selectors.searches import latest, offered_in, sooner_in

OFFER, SOONER = "offer", "sooner"
"""Beside a revision's number: the plan that a search found while the board went on, and one that ends earlier."""


@dataclass(frozen=True, slots=True)
class FlaskBeside:
    """A flask of one of the two plans: its figures in words, each marked if the other plan has another."""

    sheet: FlaskSheet
    figures: tuple[tuple[str, bool], ...]
    marked: frozenset[str]
    only_here: bool

    @property
    def differs(self) -> bool:
        """Whether the other plan has no such flask, or another one of this letter."""
        return self.only_here or bool(self.marked) or any(differs for _words, differs in self.figures)


@dataclass(frozen=True, slots=True)
class PlanBeside:
    """One of the two plans; `key` is its revision, `offer` or `sooner`."""

    key: str
    name: str
    line: tuple[tuple[str, Figure], ...]
    flasks: tuple[FlaskBeside, ...]
    waiting: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Revision:
    """An earlier revision in the list: what made it, who and when."""

    key: str
    what: str
    who: str
    at: datetime

    @property
    def number(self) -> str:
        """Its number; empty for a plan that is not stored."""
        return self.key if self.key.isdecimal() else ""


@dataclass(frozen=True)
class Beside:
    """The last plan of a day and another of the reader's choice."""

    opened: OpenedPlan
    key: str

    @property
    def day(self) -> CastingDay:
        """The day of both."""
        return self.opened.plan.day

    @cached_property
    def _found(self) -> Mapping[str, Plan]:
        """The plans that the last search found beside those that were stored, by key."""
        search = latest(self.day)
        found = {}
        offered = offered_in(search)
        if offered is not None and _is_of_now(self.day, offered):
            found[OFFER] = Plan(
                day=self.day, revision=0, day_file=offered["day_file"], plan_file=lay_out(offered["plan"])
            )
        sooner = sooner_in(search) if search is not None and offered is None else None
        if search is not None and sooner is not None and search.plan_id == self.opened.plan.pk:
            day_file = self.opened.plan.day_file
            found[SOONER] = Plan(day=self.day, revision=0, day_file=day_file, plan_file=lay_out(sooner))
        return found

    @cached_property
    def other(self) -> OpenedPlan | None:
        """The plan asked for, else the computer's last one, else the one before; None if there is none."""
        earlier = Plan.objects.filter(day=self.day).exclude(pk=self.opened.plan.pk).order_by("-revision")
        if self.key in self._found:
            plan: Plan | None = self._found[self.key]
        elif self.key.isdecimal() and len(self.key) < 9:
            plan = earlier.filter(revision=int(self.key)).first()
        else:
            plan = next(iter(self._found.values()), None) or _by_computer(earlier) or earlier.first()
        if plan is None:
            return None
        plan.day = self.day
        return OpenedPlan(plan)

    @property
    def chosen(self) -> str:
        """The key of the other plan; empty if there is none."""
        return self._key_of(self.other.plan) if self.other else ""

    @property
    def rows(self) -> tuple[PlanBeside, ...]:
        """Both plans, the board's first; nothing beside a day's only plan."""
        if self.other is None:
            return ()
        return self._row(self.opened, self.other), self._row(self.other, self.opened)

    @cached_property
    def choices(self) -> list[Revision]:
        """What can stand beside the board's plan, what a search found first, then from the latest revision back."""
        now, zone = self.opened.plan.made_at, self.day.course.school.tz
        names = {OFFER: _("the computer's plan, found meanwhile"), SOONER: _("the computer's plan that ends earlier")}
        found = [Revision(key, names[key], "", now.astimezone(zone)) for key in self._found]
        plans = Plan.objects.filter(day=self.day).exclude(pk=self.opened.plan.pk).defer("day_file", "plan_file")
        steps = {step.plan_id: step for step in _steps(self.day)}
        for plan in plans.select_related("made_by").order_by("-revision"):
            step = steps.get(plan.pk)
            who = plan.made_by.name if plan.made_by else ""
            what = words_of(step).what if step else _("planned by the computer")
            found.append(Revision(str(plan.revision), what, who, plan.made_at.astimezone(zone)))
        return found

    def _key_of(self, plan: Plan) -> str:
        return str(plan.revision) if plan.pk else next(key for key, one in self._found.items() if one is plan)

    def _row(self, opened: OpenedPlan, other: OpenedPlan) -> PlanBeside:
        key = self._key_of(opened.plan)
        if opened is self.opened:
            name = _("On the board: revision %(number)s") % {"number": key}
        elif opened.plan.pk:
            name = _("Revision %(number)s") % {"number": key}
        else:
            name = _("The computer's plan")
        theirs = dict(_line(other))
        line = tuple(
            (what, Figure(words, theirs[what] if theirs[what] != words else "")) for what, words in _line(opened)
        )
        changes = changes_between(other.plan.file, opened.plan.file)
        flasks = sorted(opened.sheet.flasks, key=lambda flask: (len(flask.label), flask.label))
        words = figures_in_words(opened.plan, opened.units, opened.day.zone)
        beside = tuple(_flask(flask, changes.get(flask.label), words[flask.label]) for flask in flasks)
        return PlanBeside(key, name, line, beside, tuple(one.name.tag for one in opened.sheet.left_out))


def _is_of_now(day: CastingDay, offered: Mapping[str, str]) -> bool:
    try:
        return still_offered(day_values_of(day), offered)
    except NotPlanned:
        return False


def _steps(day: CastingDay) -> QuerySet[BoardStep]:
    rows = BoardStep.objects.filter(day=day).select_related("day__course__school", "by", "plan", "shows")
    return rows.defer("plan__day_file", "plan__plan_file")


def _by_computer(earlier: QuerySet[Plan]) -> Plan | None:
    """The computer's last plan: the latest that no step on the board made."""
    planned = BoardStep.Did.PLANNED
    return earlier.filter(board_step=None).first() or earlier.filter(board_step__did=planned).first()


def _line(opened: OpenedPlan) -> list[tuple[str, str]]:
    """A plan in one line of figures."""
    file, zone = opened.plan.file, opened.day.zone
    figures = day_figures(file)
    clock = {_("last pour"): figures.last_pour_at, _("hand-in closes"): figures.hand_in_at}
    times = [(name, day_clock(instant(at, zone)) if at else "") for name, at in clock.items()]
    powder = (_("powder"), f"{file['totals']['powder_g']} g")
    return [(_("flasks"), str(figures.flasks)), *times, powder, (_("cost"), money(figures.cost, opened.school))]


def figures_in_words(
    plan: Plan, units: SchoolUnits, zone: ZoneInfo, file: File | None = None
) -> dict[str, dict[str, str]]:
    """Return what of each flask is weighed, set or kept to, in words by the plan file's name of it, by label.

    `file` is the plan's with other charges, where bases were weighed.
    """
    sizes = {row["key"]: row for row in plan.day_values["flask_sizes"]}
    return {
        flask["label"]: {
            "size": flask_size_of(sizes[flask["size"]], units),
            "charge_g": _("%(weight)s metal") % {"weight": to_weigh_on(flask["charge_g"], units)},
            "powder_g": _("%(grams)s g powder") % {"grams": flask["powder_g"]},
            "water_g": _("%(grams)s g water") % {"grams": to_weigh(flask["water_g"])},
            "flask_c": degrees(flask["flask_c"], units),
            "out_at": _("out of the kiln %(time)s") % {"time": day_clock(instant(flask["out_at"], zone))},
        }
        for flask in (file or plan.file)["flasks"]
    }


def _flask(flask: FlaskSheet, change: FlaskChange | None, figures: Mapping[str, str]) -> FlaskBeside:
    was = change.was if change else {}
    only_here = change is not None and change.is_new
    marked = frozenset((*change.came, *change.shifted)) if change and not only_here else frozenset()
    return FlaskBeside(flask, tuple((words, name in was) for name, words in figures.items()), marked, only_here)
