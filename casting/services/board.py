"""Steps on a day's board: each makes the next revision of the plan at once, and any can be undone."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting.dayfile.writing import lay_out
from casting.models import BoardStep, CastingDay, Plan, WaxChange, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.board_history import words_of
from casting.presenters.formats import clock_time, day_clock
from casting.presenters.standing import standing_of
from casting.selectors.board import Kept, last_step, redo_to, shown_by, undo_to
from casting.selectors.day_file import day_values_of, still_offered
from casting.selectors.searches import latest, offered_in
from casting.services import board_drafts as drafts
from casting.services import waxes
from casting.services.board_accidents import moved_or_met
from casting.services.board_drafts import DayRows, Files
from casting.services.board_moves import KEEPS_PLAN, Move, Moved
from casting.services.day_shut import locked_open, refuse_if_shut
from casting.services.days import pour_later
from casting.services.plans import store_plan
from school.models import Person


class BoardChanged(NotPlanned):
    """Somebody made another step since the board was shown; `since` is the revision that was shown."""

    def __init__(self, sentence: str, since: int) -> None:
        self.since = since
        super().__init__(sentence)


@transaction.atomic
def take_step_later(day: CastingDay, move: Move, *, revision: int, by: Person) -> tuple[BoardStep, str]:
    """Do a move for which it is too late, with the first pour moved to one that leaves time for it: both or neither.

    As `take_step`; where no first pour would do, `TooLate` is raised and nothing is changed.
    """
    try:
        return take_step(day, move, revision=revision, by=by)
    except drafts.TooLate as late:
        if late.later is None:
            raise
        later = late.later
    pour_later(day, later, by=by)
    moved_on = CastingDay.objects.select_related("course__school").get(pk=day.pk)
    step, said = take_step(moved_on, move, revision=revision, by=by)
    now = _("The first pour is now %(at)s.") % {"at": day_clock(later)}
    return step, f"{now} {said}".strip()


def take_step(day: CastingDay, move: Move, *, revision: int, by: Person) -> tuple[BoardStep, str]:
    """Do a move on the board as `revision` showed it: the step, and what else the teacher should know.

    It is planned while others write, and written only if the day is then what it was planned from.
    Raises `NotPlanned` with a sentence if it cannot be done, `BoardChanged` if that is not the last revision;
    then nothing is changed.
    """
    for now in _as_it_is(day):
        plan = _last_plan(now, revision)
        standing = standing_of(now, plan)
        after = moved_or_met(standing, move)
        leaves = move.tag if move.do == BoardStep.Did.WITHDRAW else ""
        if plan and move.do in KEEPS_PLAN:
            draft = drafts.as_before(plan, after)
        else:
            draft = drafts.planned(now, DayRows(after.kept, without=leaves), after)
        empty = None if plan else drafts.planned(now, DayRows(), Moved((), Kept(), {}))
        with transaction.atomic():
            if not draft.is_of(_locked(now, revision)):
                continue
            if leaves:
                _withdraw(now, leaves, by)
            if empty is not None:  # the empty board is the first plan, so that the first step can be undone
                store_plan(now, *empty.files, by)
            row = {"did": move.do, "figures": after.figures, "before": _caught_up(now)}
            return _stored(now, draft.files, after, by, **row), after.said
    raise NotPlanned(_("The day was changed while this was planned. Do your step again."))


def _as_it_is(day: CastingDay) -> Iterator[CastingDay]:
    """The day, and once more as it is then if it was changed while a step was planned; refused while it is shut."""
    refuse_if_shut(day)
    yield day
    yield CastingDay.objects.select_related("course__school").get(pk=day.pk)


def _locked(day: CastingDay, revision: int) -> CastingDay:
    """The day as it is now, locked; refused if it is shut, or another plan than `revision` is the last."""
    now = locked_open(day.pk)
    _last_plan(now, revision)
    return now


def let_all_go(day: CastingDay, *, by: Person) -> None:
    """Let go of whatever the teacher keeps on the board, as a step of its own; nothing before the first plan."""
    plan = Plan.objects.latest_of(day)
    if plan is not None:
        take_step(day, Move("let_go"), revision=plan.revision, by=by)


def undo(day: CastingDay, *, revision: int, by: Person) -> BoardStep:
    """Bring back the board before the last step; `NotPlanned` if there is none, or `revision` is not the last."""
    return _undone_or_redone(day, revision, by, BoardStep.Did.UNDO)


def redo(day: CastingDay, *, revision: int, by: Person) -> BoardStep:
    """Do again what was undone last; `NotPlanned` if there is nothing, or `revision` is not the last."""
    return _undone_or_redone(day, revision, by, BoardStep.Did.REDO)


def bring_back(day: CastingDay, number: int, *, revision: int, by: Person) -> BoardStep:
    """Bring back the board of an earlier revision as the next one, byte for byte unless the day has changed since.

    Raises `NotPlanned` if there is none, or its flasks can no longer be as they were.
    """

    def find(now: CastingDay) -> Return:
        shown = _caught_up(now)
        earlier = BoardStep.objects.filter(day=now, plan__revision=number).exclude(plan__revision=revision)
        target = earlier.select_related("plan").first()
        if target is None:
            sentence = _("The day has no earlier revision %(number)s of its plan. Choose one of the list.")
            raise NotPlanned(sentence % {"number": number})
        rows = DayRows(Kept.of(target).with_accidents_of(Kept.of(shown)))
        return Return(target, rows, {"did": BoardStep.Did.BROUGHT, "figures": {"revision": number}, "before": shown})

    return _returned(day, revision, by, find)


def take_offer(day: CastingDay, *, revision: int, by: Person) -> Plan:
    """Take the plan that a search found while the board went on; `NotPlanned` if it is no plan of the day any more."""
    refuse_if_shut(day)
    with transaction.atomic():
        locked_open(day.pk)
        _last_plan(day, revision)
        _caught_up(day)
        offered = offered_in(latest(day))
        if offered is None or not still_offered(day_values_of(day), offered):
            raise NotPlanned(_("The day has changed since this plan was found. Make the plan again."))
        _hold(day, json.loads(offered["day_file"]).get("held", {}), by)
        plan = store_plan(day, offered["day_file"], lay_out(offered["plan"]), by)
        _caught_up(day)
        return plan


def _last_plan(day: CastingDay, revision: int) -> Plan | None:
    """The day's last plan; raises `BoardChanged` if that is not the revision that was shown."""
    last = Plan.objects.latest_of(day)
    if (last.revision if last else 0) == revision:
        return last
    step = last_step(day)
    if step is None or last is None or step.plan_id != last.pk:
        raise BoardChanged(_("Another plan was made after you looked. It is shown now; do your step again."), revision)
    said = words_of(step)
    words = {"who": said.who or _("Somebody"), "what": said.what, "at": clock_time(said.at)}
    sentence = _("%(who)s was quicker, at %(at)s: %(what)s. The board shows it; do your step again.")
    raise BoardChanged(sentence % words, revision)


def _caught_up(day: CastingDay) -> BoardStep | None:
    """The step that the board shows, after every plan that came about without one has its own."""
    last = last_step(day)
    for plan in Plan.objects.filter(day=day, board_step=None).order_by("revision"):
        shown = shown_by(last) if last else None
        kept = Kept.of(last).as_json()
        row = {"plan": plan, "did": BoardStep.Did.PLANNED, "before": shown, "kept": kept}
        last = BoardStep.objects.create(day=day, by=plan.made_by, at=plan.made_at, **row)
    return shown_by(last) if last else None


def _stored(day: CastingDay, files: Files, after: Moved, by: Person, **row: Any) -> BoardStep:
    """Store the plan of a step with the step itself, and keep what is held then."""
    plan = store_plan(day, *files, by)
    _hold(day, after.held, by)
    there = {flask["label"] for flask in plan.file["flasks"]}
    inside = {wax["key"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    now = after.kept
    kept = replace(now, flasks=now.flasks & there, spots=now.spots & inside, out=now.out - inside)
    return BoardStep.objects.create(day=day, plan=plan, by=by, kept=kept.as_json(), **row)


def _hold(day: CastingDay, held: Mapping[str, str], by: Person) -> None:
    """Hold the waxes of a day to these flasks and no others, and note each change."""
    rows = {hold.wax.tag: hold for hold in WaxHold.objects.filter(wax__day=day).select_related("wax")}
    others = {wax.tag: wax for wax in day.waxes.filter(tag__in=held.keys() - rows.keys())}
    for tag in sorted(rows.keys() | held.keys()):
        before, after = rows[tag].label if tag in rows else "", held.get(tag, "")
        wax = rows[tag].wax if tag in rows else others.get(tag)
        if before == after or wax is None:
            continue
        if after:
            WaxHold.objects.update_or_create(wax=wax, defaults={"label": after})
        else:
            rows[tag].delete()
        WaxChange.objects.create(wax=wax, by_person=by, before={"held": before}, after={"held": after})


@dataclass(frozen=True, slots=True)
class Return:
    """An earlier board to come back: the step that shows it, the rows of the day it needs, what its own step says."""

    target: BoardStep
    rows: DayRows
    row: Mapping[str, Any]


def _undone_or_redone(day: CastingDay, revision: int, by: Person, did: str) -> BoardStep:
    """Undo or redo: the files of the step that comes back, byte for byte, unless the day has changed since."""

    def find(now: CastingDay) -> Return:
        shown = _caught_up(now)
        last = last_step(now)
        target = undo_to(last) if did == BoardStep.Did.UNDO else redo_to(last)
        if target is None or shown is None:
            nothing = {"undo": _("There is no step to undo."), "redo": _("There is no step to do again.")}
            raise NotPlanned(nothing[did])
        of = shown if did == BoardStep.Did.UNDO else target
        tag = of.figures["tag"] if of.did == BoardStep.Did.WITHDRAW else ""
        comes, leaves = (tag, "") if did == BoardStep.Did.UNDO else ("", tag)
        row = {"did": did, "figures": {**of.figures, "of": of.did}, "shows": target}
        return Return(target, DayRows(Kept.of(target), leaves, comes), row)

    return _returned(day, revision, by, find)


def _returned(day: CastingDay, revision: int, by: Person, find: Callable[[CastingDay], Return]) -> BoardStep:
    """Store the board of an earlier step again, with what was held and kept then, as a step of its own."""
    for now in _as_it_is(day):
        with transaction.atomic():
            found = find(_locked(now, revision))
        plan, rows = found.target.plan, found.rows
        draft = drafts.again(now, plan, rows)
        with transaction.atomic():
            if not draft.is_of(_locked(now, revision)):
                continue
            if tag := rows.without or rows.back:
                _withdraw(now, tag, by, back=bool(rows.back))
            after = Moved((), rows.kept, plan.day_values.get("held", {}))
            return _stored(now, draft.files, after, by, **found.row)
    raise NotPlanned(_("The day was changed while this was planned. Do your step again."))


def _withdraw(day: CastingDay, tag: str, by: Person, *, back: bool = False) -> None:
    """Withdraw a wax for its student, or bring it back; nothing if it is so already."""
    wax = day.waxes.get(tag=tag)
    if back == (wax.withdrawn_at is not None):
        (waxes.bring_back if back else waxes.withdraw)(wax, by=by, version=wax.version)
