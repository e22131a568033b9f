"""A press on the tablet: one step of the day ticked or taken back, also when the network brings it late."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do, Gate, Tick
from casting.models import BenchChange, CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import on_clock_of
from casting.services.day_shut import locked_open
from casting.services.flasks import fix_flask, note_kiln
from casting.services.poured import refuse_if_doubted
from casting.services.running.after_pour import note_given_back, note_quenched, undo_given_back, undo_quenched
from casting.services.running.gauge import read_gauge
from casting.services.running.mixing import (
    begin_bowl,
    fill_flasks,
    note_bell,
    note_gloss_gone,
    note_water,
    note_water_weighed,
    undo_begun,
    undo_filled,
)
from casting.services.running.mounting import Typed, note_weighed, undo_weighed
from casting.services.running.noting import note, take_back, when
from school.models import Person


@dataclass(frozen=True, slots=True)
class Press:
    """What was pressed: a step of a flask, gate or wax, and when; `who` is a name that was typed.

    `reads` is what was typed of a scale or gauge, `base` the number of the base on that scale, `base_reads` its weight.

    `sure` answers a question that was asked about it; `seen` is the last change of this step on the page that was
    pressed, None if that is not known.
    """

    do: str
    what: str
    at: datetime | None = None
    who: str = ""
    sure: bool = False
    undo: bool = False
    seen: int | None = None
    reads: str = ""
    base: str = ""
    base_reads: str = ""


class Overtaken(NotPlanned):
    """Somebody else changed the step since the page was shown."""


@transaction.atomic
def press(day: CastingDay, pressed: Press, *, by: Person) -> None:
    """Tick a step, or take it back. Idempotent: a press that comes twice counts once.

    Raises `NotPlanned` with a sentence if it cannot be, or asks (`PourDoubted`, `QuenchDoubted`) unless `sure`.
    """
    locked_open(day.pk)
    ways = UNDO if pressed.undo else DO
    if pressed.do not in ways:
        raise NotPlanned(_("There is no such step."))
    is_there = day.steps_done.filter(do=pressed.do, what=pressed.what).exists()
    if is_there is not pressed.undo and pressed.do not in CORRECTED:
        return
    _refuse_if_overtaken(day, pressed)
    ways[pressed.do](day, pressed, by)


def _refuse_if_overtaken(day: CastingDay, pressed: Press) -> None:
    """Raise `Overtaken`, naming who, if the step was changed since the page was shown."""
    changes = BenchChange.objects.filter(day=day, do=pressed.do, what=pressed.what)
    last = changes.select_related("by_person").order_by("-pk").first()
    if pressed.seen is None or last is None or last.pk == pressed.seen:
        return
    words = {"who": last.by_person.name if last.by_person else "?", "at": on_clock_of(last.at, day.course.school)}
    if pressed.undo:
        sentence = _("%(who)s noted this anew on %(at)s. Look at it, then press again.")
    else:
        sentence = _("%(who)s took this back on %(at)s. If it is done all the same, press again.")
    raise Overtaken(sentence % words)


def _gate(day: CastingDay, pressed: Press, by: Person) -> None:
    """Tick a gate of the day; somebody answers for it by name."""
    if pressed.what not in list(Gate):
        raise NotPlanned(_("There is no such step."))
    if not pressed.who.strip():
        raise NotPlanned(_("Write the name of whoever looked."))
    note(day, Tick.GATE, pressed.what, at=when(pressed.at, day), by=by, who=pressed.who.strip()[:80])


def _of_a_flask(day: CastingDay, pressed: Press, by: Person) -> None:
    """Tick a step of a flask that is invested, or of one that is poured: its vacuum is released after that."""
    state = _refuse_before_invested(day, pressed.what)
    if pressed.do == Tick.RELEASED and state != Flask.State.POURED:
        raise NotPlanned(_("Flask %(label)s is not poured. Mark it as poured first.") % {"label": pressed.what[:3]})
    if pressed.do == Tick.OUT:
        _refuse_behind_a_gate(day)
    note(day, pressed.do, pressed.what, at=when(pressed.at, day), by=by, who=pressed.who)


def _refuse_before_invested(day: CastingDay, label: str) -> str:
    """How far a flask has come; raise `NotPlanned` if it is not invested."""
    state = day.states().get(label)
    if state is None:
        raise NotPlanned(_("Flask %(label)s is not invested. Mark it as invested first.") % {"label": label[:3]})
    return state


def _pour(day: CastingDay, pressed: Press, by: Person) -> None:
    _refuse_behind_a_gate(day)
    last = Plan.objects.latest_of(day)
    then = when(pressed.at, day)
    if last is not None and not pressed.sure and day.states().get(pressed.what) == Flask.State.INVESTED:
        refuse_if_doubted(last, pressed.what)
    fix_flask(day, pressed.what, Flask.State.POURED, by=by, poured_at=then)


def _not_poured(day: CastingDay, pressed: Press, by: Person) -> None:
    fix_flask(day, pressed.what, Flask.State.INVESTED, by=by)


def _refuse_behind_a_gate(day: CastingDay) -> None:
    """Raise `NotPlanned` while a gate of the day is open."""
    if len(day.done_at(Tick.GATE)[Tick.GATE]) < len(Gate):
        raise NotPlanned(_("Nothing leaves the kiln before the three checks of the day are ticked. Tick them first."))


def _quench(day: CastingDay, pressed: Press, by: Person) -> None:
    note_quenched(day, pressed.what, by=by, at=when(pressed.at, day), sure=pressed.sure, who=pressed.who)


def _just_taken_back(day: CastingDay, pressed: Press, by: Person) -> None:
    take_back(day, pressed.do, pressed.what, by=by)


def _weigh(day: CastingDay, pressed: Press, by: Person) -> None:
    typed = Typed(pressed.reads, pressed.base, pressed.base_reads)
    note_weighed(day, pressed.what, typed, by=by, at=when(pressed.at, day), sure=pressed.sure)


CORRECTED = frozenset({Tick.WEIGHED, Tick.WATER, Tick.WATER_G, Tick.BELL, Tick.POUR_GAUGE, Do.MIX})
"""What may be pressed again with another figure; pressed again with the same, nothing changes. A bowl is filled into
several flasks, of which some may be noted already."""


def _invest(day: CastingDay, pressed: Press, by: Person) -> None:
    fill_flasks(day, pressed.what, by=by, at=when(pressed.at, day), as_planned=pressed.sure)


def _begin(day: CastingDay, pressed: Press, by: Person) -> None:
    begin_bowl(day, pressed.what, by=by, at=when(pressed.at, day), who=pressed.who)


def _of_a_bowl(day: CastingDay, pressed: Press, by: Person) -> None:
    ways = {Tick.WATER: note_water, Tick.BELL: note_bell}
    ways[Tick(pressed.do)](day, pressed.what, pressed.reads, by=by, at=when(pressed.at, day))


def _weigh_water(day: CastingDay, pressed: Press, by: Person) -> None:
    then = when(pressed.at, day)
    note_water_weighed(day, pressed.what, pressed.reads, by=by, at=then, sure=pressed.sure)


def _read_at_pour(day: CastingDay, pressed: Press, by: Person) -> None:
    """Note what the gauge shows under a flask at its pour."""
    _refuse_before_invested(day, pressed.what)
    figures = read_gauge(day.course.school, pressed.reads)
    note(day, Tick.POUR_GAUGE, pressed.what, at=when(pressed.at, day), by=by, figures=figures)


DO: Mapping[str, Callable[[CastingDay, Press, Person], None]] = {
    Do.KILN_ON: lambda day, pressed, by: note_kiln(day, pressed.what, on=True, by=by, at=when(pressed.at, day)),
    Tick.WEIGHED: _weigh,
    Tick.WATER: _of_a_bowl,
    Tick.WATER_G: _weigh_water,
    Tick.MIXING: _begin,
    Tick.BELL: _of_a_bowl,
    Tick.GLOSS: lambda day, pressed, by: note_gloss_gone(day, pressed.what, by=by, at=when(pressed.at, day)),
    Do.MIX: _invest,
    Tick.GATE: _gate,
    Tick.MELTING: _of_a_flask,
    Tick.GAUGE: _of_a_flask,
    Tick.OUT: _of_a_flask,
    Do.POUR: _pour,
    Tick.POUR_GAUGE: _read_at_pour,
    Tick.RELEASED: _of_a_flask,
    Do.QUENCH: _quench,
    Tick.COLLECTED: lambda day, pressed, by: note_given_back(day, [pressed.what], by=by, who=pressed.who),
}
UNDO: Mapping[str, Callable[[CastingDay, Press, Person], None]] = {
    **dict.fromkeys(
        (
            *(Tick.WATER, Tick.WATER_G, Tick.BELL, Tick.GLOSS),
            *(Tick.GATE, Tick.MELTING, Tick.GAUGE, Tick.OUT, Tick.POUR_GAUGE, Tick.RELEASED),
        ),
        _just_taken_back,
    ),
    Tick.MIXING: lambda day, pressed, by: undo_begun(day, pressed.what, by=by),
    Do.MIX: lambda day, pressed, by: undo_filled(day, pressed.what, by=by),
    Tick.WEIGHED: lambda day, pressed, by: undo_weighed(day, pressed.what, by=by),
    Do.KILN_ON: lambda day, pressed, by: note_kiln(day, pressed.what, on=False, by=by),
    Do.POUR: _not_poured,
    Do.QUENCH: lambda day, pressed, by: undo_quenched(day, pressed.what, by=by),
    Tick.COLLECTED: lambda day, pressed, by: undo_given_back(day, pressed.what, by=by),
}
