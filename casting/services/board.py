"""Steps on a day's board: each makes the next revision of the plan at once, and any can be undone."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from casting import solve
from casting.calc.values.errors import Refused
from casting.calc.values.placed import PlacedFlask
from casting.dayfile import day_of
from casting.dayfile.writing import lay_out
from casting.models import BoardStep, CastingDay, Plan, WaxChange, WaxHold
from casting.models.errors import NotPlanned
from casting.presenters.board_history import words_of
from casting.presenters.formats import clock_time
from casting.presenters.refusals import refusal_of
from casting.presenters.standing import Standing, standing_of
from casting.selectors.board import Kept, last_step, redo_to, rows_placed, shown_by, undo_to
from casting.selectors.day_file import day_text_of, day_values_of, still_offered
from casting.selectors.searches import latest, offered_in
from casting.services import waxes
from casting.services.board_accidents import moved_or_met
from casting.services.board_moves import KEEPS_PLAN, Move, Moved
from casting.services.day_shut import locked_open, refuse_if_shut
from casting.services.plans import store_plan
from school.models import Person

Files = tuple[str, str]


class BoardChanged(NotPlanned):
    """Somebody made another step since the board was shown; `since` is the revision that was shown."""

    def __init__(self, sentence: str, since: int) -> None:
        self.since = since
        super().__init__(sentence)


def take_step(day: CastingDay, move: Move, *, revision: int, by: Person) -> tuple[BoardStep, str]:
    """Do a move on the board as `revision` showed it: the step, and what else the teacher should know.

    Raises `NotPlanned` with a sentence if it cannot be done, `BoardChanged` if that is not the last revision;
    then nothing is changed.
    """
    refuse_if_shut(day)
    plan = _last_plan(day, revision)
    standing = standing_of(day, plan)
    after = moved_or_met(standing, move)
    with transaction.atomic():
        if move.do == BoardStep.Did.WITHDRAW:
            _withdraw(day, move.tag, by)
        files = _as_before(plan, after) if plan and move.do in KEEPS_PLAN else _planned(day, standing, after)
        locked_open(day.pk)
        _last_plan(day, revision)
        if plan is None:
            _begin(day, standing, by)
        before = _caught_up(day)
        return _stored(day, files, after, by, did=move.do, figures=after.figures, before=before), after.said


def let_all_go(day: CastingDay, *, by: Person) -> None:
    """Let go of whatever the teacher keeps on the board, as a step of its own; nothing before the first plan."""
    plan = Plan.objects.latest_of(day)
    if plan is not None:
        take_step(day, Move("let_go"), revision=plan.revision, by=by)


def undo(day: CastingDay, *, revision: int, by: Person) -> BoardStep:
    """Bring back the board before the last step; `NotPlanned` if there is none, or `revision` is not the last."""
    return _returned(day, revision, by, BoardStep.Did.UNDO)


def redo(day: CastingDay, *, revision: int, by: Person) -> BoardStep:
    """Do again what was undone last; `NotPlanned` if there is nothing, or `revision` is not the last."""
    return _returned(day, revision, by, BoardStep.Did.REDO)


def bring_back(day: CastingDay, number: int, *, revision: int, by: Person) -> BoardStep:
    """Bring back the board of an earlier revision as the next one, byte for byte unless the day has changed since.

    Raises `NotPlanned` if there is none, or its flasks can no longer be as they were.
    """
    refuse_if_shut(day)
    with transaction.atomic():
        locked_open(day.pk)
        _last_plan(day, revision)
        shown = _caught_up(day)
        earlier = BoardStep.objects.filter(day=day, plan__revision=number).exclude(plan__revision=revision)
        target = earlier.select_related("plan").first()
        if target is None:
            sentence = _("The day has no earlier revision %(number)s of its plan. Choose one of the list.")
            raise NotPlanned(sentence % {"number": number})
        kept = Kept.of(target).with_accidents_of(Kept.of(shown))
        row = {"did": BoardStep.Did.BROUGHT, "figures": {"revision": number}, "before": shown}
        return _shown_again(day, target, kept, by, **row)


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


def _planned(day: CastingDay, standing: Standing, after: Moved) -> Files:
    """Plan the board after a move: nothing is searched for, everything is checked."""
    values = day_values_of(day, by_hand=after.kept)
    inside = {key for flask in after.flasks for key in flask.keys}
    placed = [_row(flask) for flask in sorted(after.flasks, key=lambda flask: (len(flask.label), flask.label))]
    on_spot = {tag: why for tag, why in after.kept.reach.items() if tag in inside}
    parts: dict[str, Any] = {
        "placed": placed,
        "kept_out": sorted(wax["key"] for wax in values["waxes"] if wax["key"] not in inside),
        "reach_overruled": on_spot,
    }
    values["held"] = dict(sorted((tag, label) for tag, label in after.held.items() if tag in inside))
    return _checked(day, values | {name: part for name, part in parts.items() if part})


def _checked(day: CastingDay, values: Mapping[str, Any]) -> Files:
    text = day_text_of(day, values)
    try:
        return text, solve.check(day_of(json.loads(text)))
    except Refused as refused:
        raise NotPlanned(refusal_of(str(refused), json.loads(text))) from None


def _row(flask: PlacedFlask) -> dict[str, Any]:
    """A flask as a day file places it."""
    inside = [{"key": wax.key} | (asdict(wax.spot) if wax.spot else {}) for wax in flask.waxes]
    return {"label": flask.label, "size": flask.size, "whole": flask.whole, "waxes": inside}


def _as_before(plan: Plan, after: Moved) -> Files:
    """The files of the last plan, with what is held in them: every wax stands where it stood."""
    inside = {wax["key"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    held = dict(sorted((tag, label) for tag, label in after.held.items() if tag in inside))
    values = plan.day_values | {"held": held}
    return json.dumps(values, indent=1, ensure_ascii=False) + "\n", plan.plan_file


def _begin(day: CastingDay, standing: Standing, by: Person) -> None:
    """Store the empty board as the first plan, so that the first step can be undone."""
    store_plan(day, *_planned(day, standing, Moved((), Kept(), {})), by)


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


def _returned(day: CastingDay, revision: int, by: Person, did: str) -> BoardStep:
    """Undo or redo: the files of the step that comes back, byte for byte, unless the day has changed since."""
    refuse_if_shut(day)
    with transaction.atomic():
        locked_open(day.pk)
        _last_plan(day, revision)
        shown = _caught_up(day)
        last = last_step(day)
        target = undo_to(last) if did == BoardStep.Did.UNDO else redo_to(last)
        if target is None or shown is None:
            nothing = {"undo": _("There is no step to undo."), "redo": _("There is no step to do again.")}
            raise NotPlanned(nothing[did])
        of = shown if did == BoardStep.Did.UNDO else target
        if of.did == BoardStep.Did.WITHDRAW:
            _withdraw(day, of.figures["tag"], by, back=did == BoardStep.Did.UNDO)
        figures = {**of.figures, "of": of.did}
        return _shown_again(day, target, Kept.of(target), by, did=did, figures=figures, shows=target)


def _withdraw(day: CastingDay, tag: str, by: Person, *, back: bool = False) -> None:
    """Withdraw a wax for its student, or bring it back; nothing if it is so already."""
    wax = day.waxes.get(tag=tag)
    if back == (wax.withdrawn_at is not None):
        (waxes.bring_back if back else waxes.withdraw)(wax, by=by, version=wax.version)


def _shown_again(day: CastingDay, target: BoardStep, kept: Kept, by: Person, **row: Any) -> BoardStep:
    """Store the board of an earlier step again, with what was held and kept then, as a step of its own."""
    held = target.plan.day_values.get("held", {})
    _hold(day, held, by)
    return _stored(day, _files_of(day, target.plan, kept), Moved((), kept, held), by, **row)


def _files_of(day: CastingDay, plan: Plan, kept: Kept) -> Files:
    """The files of an earlier plan; if the day's rows have moved on, the same board planned anew.

    What is on the bench stays as it was invested.
    """
    now, was = day_values_of(day, by_hand=kept), plan.day_values
    stood = {wax["key"] for flask in plan.file["flasks"] for wax in flask["waxes"]}
    names = (now.keys() | was.keys()) - {"previous", "now", "charged_g", "placed", "kept_out", "reach_overruled"}
    if not stood & kept.broken and all((now.get(name) or None) == (was.get(name) or None) for name in names):
        return plan.day_file, plan.plan_file
    tags, states = {wax["key"] for wax in now["waxes"]}, day.states()
    whole = tags - kept.broken
    last = Plan.objects.latest_of(day)
    bench = [row for row in rows_placed(last.file, tags) if row["label"] in states] if last and states else []
    poured = {wax["key"] for row in bench for wax in row["waxes"]}
    rows = bench + [row for row in rows_placed(plan.file, whole - poured) if row["label"] not in states]
    inside: Sequence[str] = [wax["key"] for row in rows for wax in row["waxes"]]
    now["held"] = {tag: label for tag, label in now["held"].items() if tag in inside}
    parts = {"placed": rows, "kept_out": sorted(tags.difference(inside))}
    return _checked(day, now | {name: part for name, part in parts.items() if part})
