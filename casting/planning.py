"""Making a plan of a day's rows, and the teacher's own word on it: the only writers of plans.

One door: rows to a day file, the day file to a child process, its plan file to a row.
"""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.words import Do
from casting.dayfile.writing import lay_out
from casting.models import (
    Alloy,
    CastingDay,
    Firing,
    Flask,
    FlaskSize,
    HouseRules,
    Investment,
    Kiln,
    PatternMaterial,
    Plan,
    StepDone,
    Wax,
    WaxChange,
    WaxHeld,
)
from casting.refused_day import refusal_of
from casting.shown import day_clock, stamp
from school.models import Person

HERE = Path(__file__).resolve().parent.parent
WALL_S = 60
CPU_S = 60
MEMORY_BYTES = 2 * 1024**3
STEP_OF = {Flask.State.INVESTED: Do.MIX, Flask.State.POURED: Do.POUR}
"""The step of a plan that brings a flask there."""

# The child lowers its own priority and sets its own limits: a slow plan holds up no phone.
LIMITED = f"""
import os, runpy, sys
os.nice(10)
try:
    import resource
    resource.setrlimit(resource.RLIMIT_CPU, ({CPU_S}, {CPU_S}))
    resource.setrlimit(resource.RLIMIT_AS, ({MEMORY_BYTES}, {MEMORY_BYTES}))
except (ImportError, ValueError, OSError):
    pass
sys.argv = ["casting.solve", "-"]
runpy.run_module("casting.solve", run_name="__main__")
"""


class NotPlanned(Exception):
    """No plan was made; the one before still stands. `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence
        super().__init__(sentence)


def day_file_of(day: CastingDay) -> str:
    """The day file of a casting day as its rows stand now."""
    waxes = list(day.waxes.standing().order_by("pk"))
    file = day.to_day() | shelf_of(day, waxes)
    nth: Counter[int] = Counter()
    file["waxes"] = []
    for wax in waxes:
        nth[wax.student_id] += 1
        file["waxes"].append(wax.to_day(piece=nth[wax.student_id]))
    file["waxes"].sort(key=lambda wax: str(wax["key"]))
    file |= _kept(day, {wax.tag for wax in waxes}, {size["key"] for size in file["flask_sizes"]})
    return json.dumps(file, indent=1, ensure_ascii=False) + "\n"


def shelf_of(day: CastingDay, waxes: list[Wax]) -> dict[str, Any]:
    """The school's shelf: what it works with, and whatever a wax of the day already uses."""
    school = day.course.school
    alloys = Alloy.objects.filter(Q(pk__in=day.alloys.values("pk")) | Q(pk__in={wax.alloy_id for wax in waxes}))
    used = {wax.pattern_id for wax in waxes} | {wax.sprue_pattern_id for wax in waxes if wax.sprue_pattern_id}
    patterns = PatternMaterial.objects.filter(Q(school=school, offered=True) | Q(pk__in=used))
    investment = Investment.objects.at(school).first()
    rules = HouseRules.objects.at(school).first()
    if investment is None:
        raise NotPlanned(_("No investment stands on the shelf. Add the powder that the school uses."))
    return {
        "alloys": _rows(alloys),
        "patterns": _rows(patterns),
        "investment": investment.to_day(),
        "flask_sizes": _rows(FlaskSize.objects.at(school)),
        "kilns": _rows(Kiln.objects.at(school)),
        "firings": _rows(Firing.objects.at(school)),
        "rules": rules.to_day() if rules else {},
    }


def _rows(rows: QuerySet[Any]) -> list[dict[str, Any]]:
    return [row.to_day() for row in rows.order_by("place", "key")]


def _kept(day: CastingDay, tags: set[str], sizes: set[str]) -> dict[str, Any]:
    """What the new plan must respect: waxes held by the teacher, the plan before, flasks on the bench."""
    held = WaxHeld.objects.filter(wax__day=day, wax__tag__in=tags).select_related("wax")
    last = Plan.objects.latest_of(day)
    previous = {
        flask["label"]: {"size": flask["size"], "waxes": [wax["key"] for wax in flask["waxes"]]}
        for flask in (last.plan["flasks"] if last else [])
        if flask["size"] in sizes
    }
    return {
        "held": {row.wax.tag: row.label for row in held},
        "previous": previous,
        "fixed": sorted(day.states()),
    }


def make_plan(day: CastingDay, by: Person) -> Plan:
    """Plan the day as it stands and store the plan as the next revision.

    Raises `NotPlanned` with a sentence if the day was refused, the planning failed or its work
    would have to be begun already; the plan before then stands as it was.
    """
    day_file = day_file_of(day)
    return store_plan(day, day_file, solve(day_file), by)


def store_plan(day: CastingDay, day_file: str, plan_file: str, by: Person | None) -> Plan:
    """Store what was planned of a day file as the next revision; `NotPlanned` if its work is late already."""
    now = timezone.now().astimezone(day.course.school.tz)
    refuse_if_late(json.loads(plan_file), json.loads(day_file), now)
    digest = hashlib.sha256(day_file.encode()).hexdigest()
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=day.pk)
        last = Plan.objects.latest_of(day)
        plan = Plan.objects.create(
            day=day,
            revision=last.revision + 1 if last else 1,
            day_file=day_file,
            plan_file=plan_file,
            day_sha256=digest,
            made_by=by,
        )
        _stand_flasks(day, {flask["label"] for flask in plan.plan["flasks"]})
    return plan


def refuse_if_late(plan: Mapping[str, Any], day_file: Mapping[str, Any], now: datetime) -> None:
    """Raise `NotPlanned` if the first work that is still to be done lies before `now`, on the school's clock.

    Mounting is not asked about: a last plan is often made while the waxes are being mounted.
    """
    sentences = {
        Do.MIX: _("Mixing would have had to begin on %(then)s and it is now %(now)s. Set a later first pour."),
        Do.LOAD: _("The kiln would have had to be loaded on %(then)s and it is now %(now)s. Set a later first pour."),
        Do.KILN_ON: _("The kiln would have had to go on %(then)s and it is now %(now)s. Set a later first pour."),
        Do.POUR: _("The first pour would have been on %(then)s and it is now %(now)s. Set a later first pour."),
    }
    fixed = set(day_file["fixed"])
    to_do = [(datetime.fromisoformat(day_file["pour_at"]), Do.POUR)]
    to_do += [
        (datetime.fromisoformat(step["at"]), Do(step["do"]))
        for step in plan["steps"]
        if step["do"] in sentences and set(step["flasks"]) - fixed
    ]
    then, do = min(to_do)
    if then >= now:
        return
    clock = day_clock if now - then < timedelta(days=6) else stamp
    raise NotPlanned(sentences[do] % {"then": clock(then.astimezone(now.tzinfo)), "now": clock(now)})


def _stand_flasks(day: CastingDay, labels: set[str]) -> None:
    """Keep one row for each flask of the plan; those on the bench stay whatever it says."""
    day.flasks.filter(state=Flask.State.PLANNED).exclude(label__in=labels).delete()
    there = set(day.flasks.values_list("label", flat=True))
    Flask.objects.bulk_create(Flask(day=day, label=label) for label in sorted(labels - there))


def solve(day_file: str) -> str:
    """The plan file of a day file, worked out by a child process at low priority, within limits."""
    quiet = {"PATH": os.environ.get("PATH", ""), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    command = [sys.executable, "-c", LIMITED]
    try:
        done = subprocess.run(  # noqa: S603 (our own interpreter, our own text, no shell)
            command, input=day_file.encode(), capture_output=True, timeout=WALL_S, cwd=HERE, env=quiet, check=False
        )
        written, code, said = done.stdout, done.returncode, done.stderr
    except subprocess.TimeoutExpired as late:
        written, code, said = late.stdout or b"", 0, b""
    except OSError as error:
        raise NotPlanned(failed(str(error))) from error
    if code == 2 and said.strip():
        raise NotPlanned(refusal_of(said.decode("utf-8", "replace").strip(), day_file))
    # Only a line with its end is a whole plan; the last one is the best.
    plans = [line for line in written.split(b"\n")[:-1] if line]
    if not plans:
        raise NotPlanned(failed(_("it gave no plan within its limits")))
    return lay_out(json.loads(plans[-1]))


def failed(why: str) -> str:
    """What a teacher is told when no plan came of it."""
    sentence = _("The planning failed (%(why)s). The plan before still stands; press Make the plan once more.")
    return sentence % {"why": why}


def is_outdated(plan: Plan, day_file: str | None = None) -> bool:
    """Tell whether the day's rows, or the day file made of them, differ from what was planned."""
    return _asked(json.loads(day_file or day_file_of(plan.day))) != _asked(plan.day_read)


def _asked(day_file: Mapping[str, Any]) -> dict[str, Any]:
    """A day file without the plan that went before, and what of it is done: that plan holds as it did."""
    return {key: value for key, value in day_file.items() if key not in ("previous", "fixed")}


@transaction.atomic
def hold_wax(wax: Wax, label: str, by: Person) -> None:
    """Hold a wax to the flask of that label; an empty label lets it go.

    Raises `NotPlanned` with a sentence if the wax, or that flask without it, is on the bench already: no plan
    moves what stands in plaster.
    """
    CastingDay.objects.select_for_update().get(pk=wax.day_id)
    _refuse_if_on_bench(wax, label)
    held = WaxHeld.objects.filter(wax=wax).first()
    before = held.label if held else ""
    if label == before:
        return
    if label:
        WaxHeld.objects.update_or_create(wax=wax, defaults={"label": label})
    else:
        WaxHeld.objects.filter(wax=wax).delete()
    WaxChange.objects.create(wax=wax, by_person=by, before={"held": before}, after={"held": label})


def _refuse_if_on_bench(wax: Wax, label: str) -> None:
    states = wax.day.states()
    last = Plan.objects.latest_of(wax.day) if label and states else None
    there = next((at for at, tags in _standing_in(last).items() if wax.tag in tags), "") if last else ""
    words = {"tag": wax.tag, "label": label, "there": there}
    if there in states and there != label:
        sentence = _(
            "It was to go into flask %(label)s, but it stands in flask %(there)s, which is %(state)s and stays as it "
            "is. If that is not so, undo it on the page Flasks, then hold %(tag)s again."
        )
        raise NotPlanned(sentence % (words | {"state": Flask.State(states[there]).label}))
    if label in states and there != label:
        sentence = _(
            "Flask %(label)s is %(state)s without it. Choose another flask, or leave the field empty. If %(label)s "
            "is not %(state)s, undo that on the page Flasks, then hold %(tag)s again."
        )
        raise NotPlanned(sentence % (words | {"state": Flask.State(states[label]).label}))


def _standing_in(plan: Plan) -> dict[str, set[str]]:
    """The tags of the waxes in each flask of a plan, by its label."""
    return {flask["label"]: {wax["key"] for wax in flask["waxes"]} for flask in plan.plan["flasks"]}


def _refuse_if_held_elsewhere(plan: Plan, label: str) -> None:
    """Raise `NotPlanned` if a wax is held against a flask of the plan as it stands: no later plan could keep both."""
    inside = _standing_in(plan)[label]
    held = WaxHeld.objects.filter(wax__day=plan.day, wax__withdrawn_at__isnull=True).order_by("wax__tag")
    for tag, to in held.values_list("wax__tag", "label"):
        words = {"tag": tag, "label": label, "to": to}
        if tag in inside and to != label:
            sentence = _(
                "Wax %(tag)s stands in flask %(label)s, but is held to flask %(to)s. If %(label)s is invested with it, "
                "empty its field on the page Waxes, then mark %(label)s again. If not, make the plan again."
            )
            raise NotPlanned(sentence % words)
        if tag not in inside and to == label:
            sentence = _(
                "Wax %(tag)s is held to flask %(label)s, but does not stand in it. If %(label)s is invested without "
                "it, empty its field on the page Waxes, then mark %(label)s again. If not, make the plan again."
            )
            raise NotPlanned(sentence % words)


def move_wax(wax: Wax, label: str, by: Person) -> Plan:
    """Hold a wax to a flask and plan again; if it cannot stand there, all stays as it was."""
    held = WaxHeld.objects.filter(wax=wax).first()
    before = held.label if held else ""
    hold_wax(wax, label, by)
    try:
        return make_plan(wax.day, by)
    except NotPlanned:
        hold_wax(wax, before, by)
        raise


@dataclass(frozen=True, slots=True)
class OnBench:
    """How far a flask has come, and who said so when; nothing of that while it is planned."""

    state: Flask.State = Flask.State.PLANNED
    at: datetime | None = None
    by: str = ""


def on_bench(day: CastingDay) -> dict[str, OnBench]:
    """How far the flasks of a day have come, by label, in the school's time; one that is not there is planned."""
    done = {(step.do, step.what): step for step in day.steps_done.select_related("by")}
    found = {}
    for flask in day.flasks.exclude(state=Flask.State.PLANNED):
        state = Flask.State(flask.state)
        step = done.get((STEP_OF[state], flask.label))
        at = step.done_at.astimezone(day.course.school.tz) if step else None
        found[flask.label] = OnBench(state, at, step.by.name if step and step.by else "")
    return found


@transaction.atomic
def fix_flask(day: CastingDay, label: str, state: str, *, by: Person, revision: int | None = None) -> Flask:
    """Note how far a flask has come, one step on or back; from invested on, every later plan keeps it as it is.

    `revision` is that of the plan which `by` looked at, if it was one. Raises `NotPlanned` with a sentence if the
    flask is not in the plan, that plan is no longer the last, a wax is held against it, or the step cannot be:
    nothing is poured that was not invested. Said twice, it is noted once.
    """
    CastingDay.objects.select_for_update().get(pk=day.pk)
    last = Plan.objects.latest_of(day)
    if last is None or label not in {flask["label"] for flask in last.plan["flasks"]}:
        raise NotPlanned(_("The plan has no flask %(label)s.") % {"label": label})
    if revision not in (None, last.revision):
        sentence = _("Plan revision %(now)s was made meanwhile. Look at flask %(label)s in it, then press again.")
        raise NotPlanned(sentence % {"now": last.revision, "label": label})
    flask, _made = Flask.objects.get_or_create(day=day, label=label)
    before, after = Flask.State(flask.state), Flask.State(state)
    order = list(Flask.State)
    if abs(order.index(after) - order.index(before)) > 1:
        raise NotPlanned(_two_steps(after) % {"label": label})
    if after == before:
        return flask
    if before == Flask.State.PLANNED:
        _refuse_if_held_elsewhere(last, label)
    flask.state = after
    flask.save(update_fields=["state"])
    if order.index(after) > order.index(before):
        noted = {"done_at": timezone.now(), "by": by}
        StepDone.objects.update_or_create(day=day, do=STEP_OF[after], what=label, defaults=noted)
    else:
        day.steps_done.filter(do=STEP_OF[before], what=label).delete()
    return flask


def _two_steps(after: Flask.State) -> str:
    if after == Flask.State.POURED:
        return _("Flask %(label)s is not invested yet, so it cannot be poured. Mark it as invested first.")
    return _("Flask %(label)s is poured. Set it back to invested first.")
