"""What is noted of a flask once it is poured: that it is quenched, or cold, and which pieces are given back."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.schedule.firing import whole_minutes
from casting.calc.schedule.pours import wait_min
from casting.calc.values.enums import Do, Kind, Tick
from casting.dayfile import read_kept
from casting.dayfile.times import is_before, to_the_minute
from casting.models import CastingDay, Flask, Plan
from casting.models.errors import NotPlanned
from casting.presenters.formats import minutes, on_clock_of
from casting.selectors.flasks import flask_contents, flask_of
from casting.services.day_shut import locked_open
from casting.services.running.noting import note, take_back
from school.models import Person


class QuenchDoubted(NotPlanned):
    """The flask of `label` has not waited its minutes; whoever quenched it all the same says so."""

    def __init__(self, sentence: str, label: str) -> None:
        self.label = label
        super().__init__(sentence)


@transaction.atomic
def note_quenched(
    day: CastingDay, label: str, *, by: Person, at: datetime | None = None, sure: bool = False, who: str = ""
) -> None:
    """Note that a flask went into water, or, with stones in it, is cold; now, or when that was. Idempotent.

    Raises `NotPlanned` with a sentence if it is not poured or cannot have been quenched then, `QuenchDoubted` if its
    minutes are not over, unless `sure`. With a time, a note that stands is corrected.
    """
    locked_open(day.pk)
    done = day.done_at(Do.POUR, Do.QUENCH)
    if day.states().get(label) != Flask.State.POURED:
        raise NotPlanned(_("Flask %(label)s is not poured. Mark it as poured first.") % {"label": label})
    if at is None and label in done[Do.QUENCH]:
        return
    now, school = timezone.now(), day.course.school
    then, poured = at or now, done[Do.POUR].get(label)
    words = {"label": label, "at": on_clock_of(then, school), "now": on_clock_of(now, school)}
    if then > now:
        sentence = _("Flask %(label)s cannot have been quenched on %(at)s: it is now %(now)s. Write when it was.")
        raise NotPlanned(sentence % words)
    if poured is not None and is_before(then, poured):
        sentence = _(
            "Flask %(label)s cannot have been quenched on %(at)s: it was poured on %(poured)s. Correct the time that "
            "is wrong."
        )
        raise NotPlanned(sentence % (words | {"poured": on_clock_of(poured, school)}))
    if not sure and poured is not None:
        _refuse_too_soon(day, label, poured, then)
    note(day, Do.QUENCH, label, at=then, by=by, who=who)


def _refuse_too_soon(day: CastingDay, label: str, poured: datetime, then: datetime) -> None:
    """Raise `QuenchDoubted` if the minutes of the flask's diameter are not over."""
    ready = may_quench_from(day, label, poured)
    if ready is None or then >= ready:
        return
    school = day.course.school
    words = {"label": label, "ready": on_clock_of(ready, school), "at": on_clock_of(then, school)}
    left = minutes(-int((then - ready) // timedelta(minutes=1)))
    sentence = _(
        "Flask %(label)s is not to be quenched before %(ready)s, and it is %(at)s: %(left)s too soon. A red button "
        "spits in water. If it is in the water all the same, say so. If not, leave it."
    )
    raise QuenchDoubted(sentence % (words | {"left": left}), label)


def may_quench_from(day: CastingDay, label: str, poured: datetime) -> datetime | None:
    """Return from when a flask that was poured then may be quenched, or is cold; None if no plan has it."""
    last = Plan.objects.latest_of(day)
    row = next((one for one in last.file["flasks"] if one["label"] == label), None) if last else None
    if last is None or row is None:
        return None
    values = read_kept(last.day_file).day
    stones = row["kind"] == Kind.STONES
    waits = wait_min(values.alloys[row["alloy"]], values.size(row["size"]), values, stones=stones)
    return to_the_minute(poured) + timedelta(minutes=whole_minutes(values.rules.pour_min) + waits)


@transaction.atomic
def undo_quenched(day: CastingDay, label: str, *, by: Person) -> None:
    """Take back that a flask is quenched. Raises `NotPlanned` with a sentence if a piece of it is given back."""
    locked_open(day.pk)
    if given := sorted(_pieces(day, label) & day.done_at(Tick.COLLECTED)[Tick.COLLECTED].keys()):
        sentence = _("%(tags)s of flask %(label)s is given back already. Take that back first.")
        raise NotPlanned(sentence % {"tags": ", ".join(given), "label": label})
    take_back(day, Do.QUENCH, label, by=by)


def _pieces(day: CastingDay, label: str) -> set[str]:
    """The tags of the waxes of a flask of the last plan; none if there is no such flask."""
    last = Plan.objects.latest_of(day)
    return flask_contents(last).get(label, set()) if last else set()


@transaction.atomic
def note_given_back(day: CastingDay, tags: Iterable[str], *, by: Person, who: str = "") -> None:
    """Note that students got these pieces now. Idempotent.

    Raises `NotPlanned` with a sentence, and notes none, if a flask of them is not quenched.
    """
    locked_open(day.pk)
    home = flask_of(Plan.objects.latest_of(day))
    done = day.done_at(Do.QUENCH, Tick.COLLECTED)
    for tag in tags:
        label = home.get(tag)
        if label is None:
            raise NotPlanned(_("No flask of this day has wax %(tag)s.") % {"tag": tag[:2] or "?"})
        if label not in done[Do.QUENCH]:
            sentence = _("Flask %(label)s with %(tag)s is not quenched yet. Note that first.")
            raise NotPlanned(sentence % {"label": label, "tag": tag})
        if tag not in done[Tick.COLLECTED]:
            note(day, Tick.COLLECTED, tag, at=timezone.now(), by=by, who=who)


@transaction.atomic
def undo_given_back(day: CastingDay, tag: str, *, by: Person) -> None:
    """Take back that a student got a piece. Idempotent."""
    locked_open(day.pk)
    take_back(day, Tick.COLLECTED, tag, by=by)
