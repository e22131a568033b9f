"""The page of a day's board: every flask with its figures and what changed of it, and the waxes beside them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from casting.models import CastingDay, Plan, Wax
from casting.presenters.clock_change import instant
from casting.presenters.formats import SchoolUnits, day_clock, degrees_number, money, to_weigh, to_weigh_on, units_of
from casting.presenters.lengths import flask_size, flask_size_of
from casting.presenters.on_bench import MOUNTED, STAGES, stages_of
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_changes import DayFigures, FlaskChange, changes_between, day_figures, gone_between
from casting.presenters.plan_sheet import FlaskSheet, WaxName
from casting.presenters.since_plan import changes_since
from casting.selectors.board import Kept
from casting.selectors.day_file import is_outdated
from school.names import name_with_spelling

STRIP: tuple[tuple[str | Promise, str], ...] = (
    (gettext_lazy("mounted"), MOUNTED),
    (gettext_lazy("invested"), "invested"),
    (gettext_lazy("in the kiln"), "in_kiln"),
    (gettext_lazy("poured"), "poured"),
    (gettext_lazy("quenched"), "quenched"),
    (gettext_lazy("given back"), "given_back"),
)
"""How far a flask can have come, and the stage at which that is known."""


UNIT_OF: Mapping[str, str | Promise] = {
    "size": "",
    "charge_g": pgettext_lazy("behind a weight", "metal"),
    "powder_g": gettext_lazy("g powder"),
    "water_g": gettext_lazy("g water"),
    "flask_c": "°",
    "out_at": "",
}
"""What stands behind each figure of a flask where it is told in a line."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of the day or of a flask as text, and what it was before the last change; empty if it is the same."""

    words: str
    was: str = ""


@dataclass(frozen=True, slots=True)
class FlaskOnBoard:
    """A flask with what the board says beside its drawing."""

    sheet: FlaskSheet
    change: FlaskChange | None
    kept: bool
    stage: str
    figures: Mapping[str, Figure]
    verdict: str = ""
    answer: str = ""

    @property
    def label(self) -> str:
        """Its letter."""
        return self.sheet.label

    @property
    def steps(self) -> list[tuple[str | Promise, bool]]:
        """How far it has come: each step of its way, and whether it is done."""
        done = {*STAGES[: STAGES.index(self.stage) + 1]} if self.stage in STAGES else set()
        if done or self.sheet.mounted:
            done.add(MOUNTED)
        return [(word, at in done) for word, at in STRIP]

    @property
    def is_open(self) -> bool:
        """Whether waxes may still be moved."""
        return not self.stage

    @property
    def crossed_out(self) -> list[tuple[Figure, str | Promise]]:
        """The figures that changed, each with its unit or what it is of."""
        return [(self.figures[name], after) for name, after in UNIT_OF.items() if self.figures[name].was]

    @property
    def stage_words(self) -> str:
        """The last step that is done, or that it is lost; empty for a flask that is only planned."""
        if self.sheet.is_lost:
            return self.sheet.over_word
        done = [word for word, is_done in self.steps if is_done]
        return str(done[-1]) if done else ""


@dataclass(frozen=True, slots=True)
class LooseWax:
    """A wax that stands in no flask; `why` is what the plan says of it, `kept_out` that the teacher left it out."""

    name: WaxName
    wide_mm: float
    deep_mm: float
    metal: str
    why: str = ""
    kept_out: bool = False


@dataclass(frozen=True, slots=True)
class EmptyFlask:
    """A size of which a flask stands empty."""

    key: str
    diameter_mm: float
    words: str
    verdict: str = ""
    answer: str = ""


@dataclass(frozen=True)
class BoardPage:
    """The board of a day as it stands; `since` is the plan that marks are drawn against.

    `waxes` are those that the day has. `values` is the day file of its rows as they are now, None if none can be made.
    """

    day: CastingDay
    opened: OpenedPlan | None
    kept: Kept
    held: Mapping[str, str]
    waxes: Sequence[Wax]
    since: Plan | None = None
    values: Mapping[str, Any] | None = None

    @cached_property
    def outdated(self) -> bool:
        """Whether waxes or equipment have changed since the plan; also where no day file can be made now."""
        return self.opened is not None and (self.values is None or is_outdated(self.opened.plan, self.values))

    @cached_property
    def since_plan(self) -> list[str]:
        """Whose waxes have changed since the plan, and how; nothing while it is not outdated."""
        return changes_since(self.opened.plan) if self.opened is not None and self.outdated else []

    @cached_property
    def sizes(self) -> list[EmptyFlask]:
        """The sizes of which a flask is left, the smallest first."""
        used = [flask.sheet.size.key for flask in self.flasks]
        rows = [row for row in (self.values or {}).get("flask_sizes", ()) if row["count"] > used.count(row["key"])]
        return [
            EmptyFlask(row["key"], row["diameter_mm"], flask_size_of(row, self.units))
            for row in sorted(rows, key=lambda row: (row["diameter_mm"], row["height_mm"]))
        ]

    @property
    def units(self) -> SchoolUnits:
        """The units that the school reads."""
        return units_of(self.day.course.school)

    @property
    def revision(self) -> int:
        """The revision that every form of the page names; 0 before the first plan."""
        return self.opened.plan.revision if self.opened else 0

    @cached_property
    def changes(self) -> dict[str, FlaskChange]:
        """What changed of each flask since the plan before."""
        if self.opened is None or self.since is None:
            return {}
        return changes_between(self.since.file, self.opened.plan.file)

    @property
    def gone(self) -> tuple[str, ...]:
        """The flasks of the plan before that are no more."""
        return gone_between(self.since.file, self.opened.plan.file) if self.opened and self.since else ()

    @cached_property
    def flasks(self) -> list[FlaskOnBoard]:
        """The flasks in the order of their letters, which no change of times disturbs."""
        opened = self.opened
        if opened is None:
            return []
        sheet = opened.sheet
        states = {flask.label: "poured" if flask.poured else "invested" for flask in sheet.flasks if flask.invested}
        on = {night.kiln.key for night in sheet.kilns if night.on_since}
        quenched = [flask.label for flask in sheet.flasks if flask.quenched]
        back = [flask.label for flask in sheet.flasks if flask.given_back]
        stages = stages_of(states, {flask.label: flask.kiln for flask in sheet.flasks}, on, quenched, back)
        ordered = sorted(sheet.flasks, key=lambda flask: (len(flask.label), flask.label))
        return [self._flask(flask, stages.get(flask.label, "")) for flask in ordered]

    def _flask(self, flask: FlaskSheet, stage: str) -> FlaskOnBoard:
        change = self.changes.get(flask.label)
        was = change.was if change else {}
        return FlaskOnBoard(flask, change, flask.label in self.kept.flasks, stage, self._figures(flask, was))

    def _figures(self, flask: FlaskSheet, was: Mapping[str, Any]) -> dict[str, Figure]:
        assert self.opened is not None
        units, zone, sizes = self.opened.units, self.opened.day.zone, self.opened.sheet.day.flask_sizes
        old_size = next((size for size in sizes if size.key == was.get("size")), None)
        words = {
            "size": flask_size(flask.size, units),
            "charge_g": to_weigh_on(flask.charge_g, units),
            "powder_g": str(flask.powder_g),
            "water_g": to_weigh(flask.water_g),
            "flask_c": degrees_number(flask.flask_c, units),
            "out_at": day_clock(flask.out_at),
        }
        old: dict[str, Callable[[Any], str]] = {
            "size": lambda _key: flask_size(old_size, units) if old_size else "",
            "charge_g": lambda weight_g: to_weigh_on(weight_g, units),
            "powder_g": str,
            "water_g": to_weigh,
            "flask_c": lambda celsius: degrees_number(celsius, units),
            "out_at": lambda at: day_clock(instant(at, zone)),
        }
        return {name: Figure(now, old[name](was[name]) if name in was else "") for name, now in words.items()}

    @cached_property
    def line(self) -> list[tuple[str, Figure]]:
        """The day in one line: when hand-in closes, the kiln goes on and the last pour is, and what it costs."""
        if self.opened is None:
            return []
        now = self._day_words(day_figures(self.opened.plan.file))
        was = self._day_words(day_figures(self.since.file)) if self.since else now
        return [(name, Figure(words, was[name] if was[name] != words else "")) for name, words in now.items() if words]

    def in_words(self, plan: Mapping[str, Any]) -> dict[str, str]:
        """Return a plan file's figures of the day in words, its flasks among them."""
        figures = day_figures(plan)
        return {_("flasks"): str(figures.flasks)} | self._day_words(figures)

    def _day_words(self, figures: DayFigures) -> dict[str, str]:
        assert self.opened is not None
        zone = self.opened.day.zone
        clock = {
            _("hand-in closes"): figures.hand_in_at,
            _("kiln on"): figures.kiln_on_at,
            _("last pour"): figures.last_pour_at,
        }
        words = {name: day_clock(instant(at, zone)) if at else "" for name, at in clock.items()}
        return words | {_("cost"): money(figures.cost, self.opened.school)}

    @property
    def head(self) -> str:
        """How many waxes stand in how many flasks."""
        inside = self.opened.sheet.wax_count if self.opened else 0
        flasks = len(self.flasks)
        if not flasks:
            count = len(self.waxes)
            return _("1 wax, in no flask") if count == 1 else _("%(count)s waxes, none in a flask") % {"count": count}
        waxes = _("1 wax") if inside == 1 else _("%(count)s waxes") % {"count": inside}
        if flasks == 1:
            return _("%(waxes)s in 1 flask") % {"waxes": waxes}
        return _("%(waxes)s in %(count)s flasks") % {"waxes": waxes, "count": flasks}

    @cached_property
    def moved(self) -> frozenset[str]:
        """The tags of the waxes that stand elsewhere than before."""
        return frozenset(
            tag
            for change in self.changes.values()
            if not (change.is_new and not self.since)
            for tag in (*change.came, *change.shifted)
        )

    @cached_property
    def pinned(self) -> frozenset[str]:
        """The tags of the waxes that the teacher keeps, in their flasks or on their spots."""
        return frozenset(self.held) | self.kept.spots

    @cached_property
    def loose(self) -> list[LooseWax]:
        """The waxes that stand in no flask."""
        sheet = self.opened.sheet if self.opened else None
        inside = {one.wax.key for flask in sheet.flasks for one in flask.waxes} if sheet else set()
        why = {line.name.tag: line for line in sheet.left_out} if sheet else {}
        return [
            LooseWax(
                WaxName(wax.tag, name_with_spelling(wax.student.called, wax.student.spelled), wax.what),
                float(wax.width_mm),
                float(wax.depth_mm),
                wax.alloy.name,
                why[wax.tag].detail if wax.tag in why and why[wax.tag].reason != "kept_out" else "",
                wax.tag in self.kept.out,
            )
            for wax in self.waxes
            if wax.tag not in inside
        ]
