"""The page at the torch: the checks of the day, the flask whose turn it is, and those that wait after their pour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property

from django.db.models import Max
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from casting.calc.values.enums import Do, Gate, Tick
from casting.models import BenchChange, CastingDay
from casting.presenters.formats import clock_time, minutes, plain
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.plan_sheet import FlaskSheet
from casting.presenters.running.base_photo import BasePhotoLine, photo_of
from casting.presenters.running.expected import Expected
from casting.presenters.running.kiln_room import as_it_goes, on_call_of_day
from casting.presenters.running.mishaps import WentWrong, reheat_from
from casting.selectors.flasks import Noted, noted_on
from casting.selectors.mishaps import mishaps_of

GATES: Mapping[Gate, str | Promise] = {
    Gate.DRY: gettext_lazy("Flasks dry and hot, burnout complete"),
    Gate.GAUGE: gettext_lazy("Pump on, gauge read"),
    Gate.BUTTON: gettext_lazy("Everybody knows: a red button stays out of the water"),
}
"""What somebody answers for before the first pour; cautions R-21, R-22 and N-07 say why."""


@dataclass(frozen=True, slots=True)
class TickLine:
    """A step to tick: its words, when it is due, whether it is done and by whom; `seen` is its last change."""

    do: str
    what: str
    words: str
    due: datetime | None = None
    noted: Noted | None = None
    seen: int = 0

    @property
    def key(self) -> str:
        """A name of the step, for the browser."""
        return f"{self.do}-{self.what}"

    @property
    def gauge_words(self) -> str:
        """What the gauge showed, and whether that is enough; empty if nobody read it."""
        if self.noted is None:
            return ""
        figures = self.noted.figures
        said = f"{plain(figures['reading'])} {figures.get('unit', '')}".strip()
        return _("%(reading)s, as deep as it should be") % {"reading": said} if figures.get("enough") else said

    @property
    def gauge_short(self) -> bool:
        """Whether the gauge showed less than it has to."""
        return self.noted is not None and self.noted.figures.get("enough") is False


@dataclass(frozen=True, slots=True)
class Turn:
    """A flask that is not poured yet, with its steps; `invested` tells whether it can be poured at all."""

    flask: FlaskSheet
    expected: Expected
    ticks: Sequence[TickLine]
    gauge: TickLine
    pour: TickLine
    photo: BasePhotoLine | None

    @property
    def invested(self) -> bool:
        """Whether somebody noted that it is invested."""
        return self.flask.invested

    @property
    def behind(self) -> str:
        """How late it is, in words; empty if it is in time."""
        return minutes(self.expected.behind_min) if self.expected.behind_min > 0 else ""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A poured flask until it is quenched, or cold: since when it stands, and from when it may go into water."""

    flask: FlaskSheet
    poured: TickLine
    gauge: TickLine
    released: TickLine
    quench: TickLine
    quench_at: datetime


@dataclass(frozen=True, slots=True)
class Cooled:
    """A quenched flask with its pieces, each to be given back to its student."""

    flask: FlaskSheet
    quench: TickLine
    pieces: Sequence[TickLine]
    photo: BasePhotoLine | None


class PoursPage:
    """All that the page shows at this moment. As many queries, however many flasks there are."""

    def __init__(self, opened: OpenedPlan, in_hand: str = "") -> None:
        self.opened, self.day, self.in_hand = opened, opened.plan.day, in_hand
        self.now = timezone.now().astimezone(self.day.course.school.tz)
        self.notes, self.mishaps = noted_on(self.day), mishaps_of(self.day)
        rows = BenchChange.objects.filter(day=self.day).values_list("do", "what").annotate(Max("pk")).order_by()
        self.seen = {(do, what): last for do, what, last in rows}

    @cached_property
    def expected(self) -> dict[str, Expected]:
        """When each flask is poured as the day goes."""
        poured = {what: noted.at for (do, what), noted in self.notes.items() if do == Do.POUR}
        _kilns, expected = as_it_goes(self.opened, poured, self.now, self.mishaps)
        return expected

    @cached_property
    def went_wrong(self) -> WentWrong:
        """What went wrong, and what can be noted of the flask in hand."""
        first = next((turn.flask.label for turn in self.turns), "")
        return WentWrong(self.opened, self.expected, self.mishaps, self.in_hand or first)

    def _tick(self, do: str, what: str, words: str, due: datetime | None = None) -> TickLine:
        return TickLine(do, what, words, due, self.notes.get((do, what)), self.seen.get((do, what), 0))

    @cached_property
    def gates(self) -> list[TickLine]:
        """The checks of the day."""
        number = self.opened.gauge.number
        words = {gate: f"{said}: {number}" if gate is Gate.GAUGE else str(said) for gate, said in GATES.items()}
        return [self._tick(Tick.GATE, gate, words[gate]) for gate in Gate]

    @property
    def gates_open(self) -> bool:
        """Whether a check of the day is not ticked."""
        return any(gate.noted is None for gate in self.gates)

    @cached_property
    def turns(self) -> list[Turn]:
        """The flasks that are still to be poured, in the order of their pours; the one in hand first."""
        flasks = {flask.label: flask for flask in self.opened.sheet.flasks}
        found = [self._turn(flasks[label], one) for label, one in self.expected.items() if not flasks[label].poured]
        return sorted(found, key=lambda turn: turn.flask.label != self.in_hand)

    def _turn(self, flask: FlaskSheet, expected: Expected) -> Turn:
        label = flask.label
        gauge, pour = _("Gauge at %(number)s") % {"number": self.opened.gauge.number}, _("Poured")
        ticks = [
            self._tick(Tick.MELTING, label, _("Flux in, metal melting"), expected.melt_at),
            self._tick(Tick.GAUGE, label, gauge),
            self._tick(Tick.OUT, label, _("Flask out, on the table"), expected.out_at),
        ]
        return Turn(
            flask, expected, ticks, self._gauge(label), self._tick(Do.POUR, label, pour), photo_of(self.notes, flask)
        )

    def _gauge(self, label: str) -> TickLine:
        return self._tick(Tick.POUR_GAUGE, label, _("Gauge at the pour"))

    @cached_property
    def waiting(self) -> list[Waiting]:
        """The poured flasks that are not quenched, the first poured first."""
        found = []
        for flask in self.opened.sheet.flasks:
            if flask.poured and not flask.quenched:
                label, quench_at = flask.label, self.expected[flask.label].quench_at
                cooled = _("Cold") if flask.cools_in_air else _("Quenched")
                found.append(
                    Waiting(
                        flask,
                        self._tick(Do.POUR, label, _("Poured")),
                        self._gauge(label),
                        self._tick(Tick.RELEASED, label, _("Vacuum off")),
                        self._tick(Do.QUENCH, label, cooled, quench_at),
                        quench_at,
                    )
                )
        return sorted(found, key=lambda one: one.poured.noted.at if one.poured.noted else one.quench_at)

    @cached_property
    def cooled(self) -> list[Cooled]:
        """The flasks that are quenched, each with its pieces."""
        return [
            Cooled(
                flask,
                self._tick(Do.QUENCH, flask.label, _("Cold") if flask.cools_in_air else _("Quenched")),
                [
                    self._tick(Tick.COLLECTED, one.name.tag, _("given back to %(name)s") % {"name": one.name.student})
                    for one in flask.waxes
                ],
                photo_of(self.notes, flask),
            )
            for flask in self.opened.sheet.flasks
            if flask.quenched
        ]

    @cached_property
    def moved(self) -> list[Expected]:
        """The flasks to be poured that are off their planned times by more than a pour takes."""
        limit = self.opened.sheet.day.rulebook.limit("running_late_min")
        return [turn.expected for turn in self.turns if abs(turn.expected.behind_min) > limit]

    @property
    def moved_words(self) -> str:
        """Which flasks pour when instead, in a sentence; empty if the day is in time."""
        times = [f"{one.label} {clock_time(one.out_at)}" for one in sorted(self.moved, key=lambda one: one.out_at)]
        return _("Pours now: %(times)s.") % {"times": ", ".join(times)} if times else ""

    @cached_property
    def on_call(self) -> dict[str, str]:
        """Whom to call if the power fails."""
        return on_call_of_day(self.opened)

    @property
    def not_reheated_below(self) -> str:
        """The temperature below which a flask is not heated again."""
        return reheat_from(self.opened)

    @property
    def hold(self) -> str:
        """How long the vacuum is held, in minutes."""
        book = self.opened.sheet.day.rulebook
        return f"{book.limit('vacuum_hold_from_min'):g}–{book.limit('vacuum_hold_to_min'):g}"


def version_of(day: CastingDay, revision: int, now: datetime) -> str:
    """Return what a page of the day under way is known by: it is another at each plan, note and minute. One query.

    Asked before the page is read, so that a note that comes in between makes it old, and not the other way round.
    """
    last = BenchChange.objects.filter(day=day).aggregate(Max("pk"))["pk__max"] or 0
    return f"{day.version}.{revision}.{last}.{now.astimezone(UTC):%d%H%M}"
