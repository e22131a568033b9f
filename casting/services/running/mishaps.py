"""Something went wrong with a flask: noted with what is left of it, or taken back; what becomes of its pieces."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.calc.values.mishap import ANSWERS, BEFORE_POUR, FATES, NOT_POURED, Fate, Left, Mishap
from casting.models import BenchChange, CastingDay, Flask, FlaskMishap, Plan, Recast, Wax
from casting.models.errors import NotPlanned
from casting.selectors.flasks import flask_contents
from casting.selectors.mishaps import MISHAP
from casting.services.day_shut import locked_open
from casting.services.flasks import fix_flask
from casting.services.running.noting import when
from school.models import Person

PIECE = "piece"
"""What a change of a piece's fate is called among the changes of the bench."""
AT_POUR = (Mishap.LEAKED, Mishap.BLOWN_OUT, Mishap.FROZEN)
"""What happens while a flask is poured: it is poured then, if nobody noted that yet."""


@dataclass(frozen=True, slots=True)
class Met:
    """What was pressed: what went wrong with which flasks, what is left of them, and when it was."""

    kind: str
    labels: tuple[str, ...]
    left: str
    at: datetime | None = None


@transaction.atomic
def note_mishap(day: CastingDay, met: Met, *, by: Person) -> None:
    """Note that something went wrong, or correct what is left. Idempotent: a press that comes twice counts once.

    Of pieces that are lost or in doubt a row says so; one whose fate somebody has decided since keeps it.
    Raises `NotPlanned` with a sentence, and notes nothing, if that cannot have happened to one of the flasks.
    """
    locked_open(day.pk)
    if met.kind not in list(Mishap) or met.left not in ANSWERS[Mishap(met.kind)]:
        raise NotPlanned(_("Choose what went wrong and what is left of it."))
    if not met.labels:
        raise NotPlanned(_("Choose the flask with which something went wrong."))
    kind, left, then = Mishap(met.kind), Left(met.left), when(met.at, day)
    for label in met.labels:
        _note(day, label, kind, left, then, by)


def _note(day: CastingDay, label: str, kind: Mishap, left: Left, then: datetime, by: Person) -> None:
    before = FlaskMishap.objects.filter(day=day, label=label, kind=kind).first()
    if before is not None and before.left == left:
        return
    state = _state_of(day, label)
    _refuse(label, kind, left, state)
    pours = state == Flask.State.INVESTED and (kind in AT_POUR or left in (Left.METAL, Left.NONE))
    if pours:
        fix_flask(day, label, Flask.State.POURED, by=by, poured_at=then)
    now, _made = FlaskMishap.objects.update_or_create(
        day=day,
        label=label,
        kind=kind,
        defaults={"left": left, "at": before.at if before else then, "by": by},
        create_defaults={"left": left, "at": then, "by": by, "poured": pours},
    )
    _change(day, MISHAP, label, by, _told(before), _told(now))
    _decide(now, _waxes(day, label), by)


def _state_of(day: CastingDay, label: str) -> str:
    """How far a flask of the last plan is; refused if there is none."""
    last = Plan.objects.latest_of(day)
    if last is None or label not in flask_contents(last):
        raise NotPlanned(_("The plan has no flask %(label)s.") % {"label": label[:3]})
    return day.states().get(label, Flask.State.PLANNED)


def _refuse(label: str, kind: Mishap, left: Left, state: str) -> None:
    """Refuse what cannot have happened to a flask that is so far."""
    words = {"label": label}
    if state == Flask.State.PLANNED:
        sentence = _(
            "Flask %(label)s is not invested yet. On the page Board take it in hand and say there that it leaks: "
            "another takes its place."
        )
        raise NotPlanned(sentence % words)
    if state == Flask.State.POURED and (kind in BEFORE_POUR or left in NOT_POURED):
        sentence = _("Flask %(label)s is poured, so it needs its kiln no more. Say what went wrong at the pour.")
        raise NotPlanned(sentence % words)
    if state == Flask.State.INVESTED and kind is Mishap.MISRUN:
        sentence = _("Flask %(label)s is not poured yet, so nobody can see what filled. Mark it as poured first.")
        raise NotPlanned(sentence % words)


def _waxes(day: CastingDay, label: str) -> Iterable[Wax]:
    last = Plan.objects.latest_of(day)
    tags = flask_contents(last).get(label, set()) if last else set()
    return Wax.objects.filter(day=day, tag__in=tags, withdrawn_at__isnull=True).order_by("tag")


def _decide(mishap: FlaskMishap, waxes: Iterable[Wax], by: Person) -> None:
    """Say of each piece what the mishap makes of it, unless somebody has decided that already."""
    fate = FATES.get(Left(mishap.left))
    rows = {row.wax_id: row for row in Recast.objects.filter(wax__in=waxes)}
    for wax in waxes:
        row = rows.get(wax.pk)
        if row is None and fate is not None:
            Recast.objects.create(wax=wax, mishap=mishap, fate=fate, at=mishap.at, by=by)
        elif row is not None and row.fate == Fate.LOOK and fate == Fate.AGAIN:
            _set_fate(row, fate, by)
        elif row is not None and row.mishap_id == mishap.pk and row.next_day_id is None:
            if fate is None:
                row.delete()
            else:
                _set_fate(row, fate, by)


def _set_fate(row: Recast, fate: str, by: Person) -> None:
    row.fate, row.by, row.version = fate, by, row.version + 1
    row.save(update_fields=["fate", "by", "version"])


@transaction.atomic
def take_back_mishap(day: CastingDay, kind: str, label: str, *, by: Person) -> None:
    """Take a mishap back: its pieces are as if nothing had been, and so is the pour noted with it. Idempotent.

    Raises `NotPlanned` with a sentence if a place is kept for one of its pieces. One that was quenched stays poured.
    """
    locked_open(day.pk)
    row = FlaskMishap.objects.filter(day=day, label=label, kind=kind).first()
    if row is None:
        return
    placed = row.pieces.filter(next_day__isnull=False).order_by("wax__tag").values_list("wax__tag", flat=True)
    if placed:
        sentence = _("A place is kept for %(tags)s on another day. Let that go on the page Recast list first.")
        raise NotPlanned(sentence % {"tags": ", ".join(placed)})
    if row.poured and day.states().get(label) == Flask.State.POURED and not _quenched(day, label):
        fix_flask(day, label, Flask.State.INVESTED, by=by)
    row.pieces.all().delete()
    _change(day, MISHAP, label, by, _told(row), None)
    row.delete()


def _quenched(day: CastingDay, label: str) -> bool:
    return day.steps_done.filter(do=Do.QUENCH, what=label).exists()


@transaction.atomic
def decide_piece(day: CastingDay, tag: str, fate: str, *, by: Person) -> None:
    """Say what becomes of a piece that was looked at. Idempotent.

    Raises `NotPlanned` with a sentence if nothing went wrong with its flask, or a place is kept for it.
    """
    locked_open(day.pk)
    row = Recast.objects.select_related("wax").filter(wax__day=day, wax__tag=tag).first()
    if row is None or fate not in list(Fate):
        raise NotPlanned(_("Nobody noted that anything went wrong with %(tag)s.") % {"tag": tag[:2] or "?"})
    if row.fate == fate:
        return
    if row.next_day_id is not None:
        sentence = _("A place is kept for %(tags)s on another day. Let that go on the page Recast list first.")
        raise NotPlanned(sentence % {"tags": tag})
    before = row.fate
    _set_fate(row, fate, by)
    _change(day, PIECE, tag, by, {"fate": before}, {"fate": fate})


def _told(row: FlaskMishap | None) -> dict[str, Any] | None:
    """What a note says, as it is kept; nothing where there is none."""
    if row is None:
        return None
    return {"kind": row.kind, "left": row.left, "at": row.at.isoformat(), "who": row.by.name if row.by else ""}


def _change(
    day: CastingDay, do: str, what: str, by: Person, before: dict[str, Any] | None, after: dict[str, Any] | None
) -> None:
    BenchChange.objects.create(day=day, do=do, what=what, by_person=by, before=before, after=after)
