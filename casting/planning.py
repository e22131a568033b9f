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
    Wax,
    WaxChange,
    WaxHeld,
)
from casting.shown import day_clock, stamp
from school.models import Person

HERE = Path(__file__).resolve().parent.parent
WALL_S = 60
CPU_S = 60
MEMORY_BYTES = 2 * 1024**3

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
    on_bench = day.flasks.exclude(state=Flask.State.PLANNED).values_list("label", flat=True)
    return {
        "held": {row.wax.tag: row.label for row in held},
        "previous": previous,
        "fixed": sorted(on_bench),
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
        raise NotPlanned(refusal_of(said.decode("utf-8", "replace").strip()))
    # Only a line with its end is a whole plan; the last one is the best.
    plans = [line for line in written.split(b"\n")[:-1] if line]
    if not plans:
        raise NotPlanned(failed(_("it gave no plan within its limits")))
    return lay_out(json.loads(plans[-1]))


def refusal_of(line: str) -> str:
    """A refused day's sentence; what it says of a wax or flask needs no place in the day file beside it."""
    place, _colon, sentence = line.partition(": ")
    if place.startswith(("held.", "fixed[")) and sentence:
        return sentence[0].upper() + sentence[1:]
    return line


def failed(why: str) -> str:
    """What a teacher is told when no plan came of it."""
    sentence = _("The planning failed (%(why)s). The plan before still stands; press Make the plan once more.")
    return sentence % {"why": why}


def is_outdated(plan: Plan, day_file: str | None = None) -> bool:
    """Tell whether the day's rows, or the day file made of them, differ from what was planned."""
    return _asked(json.loads(day_file or day_file_of(plan.day))) != _asked(plan.day_read)


def _asked(day_file: Mapping[str, Any]) -> dict[str, Any]:
    """A day file without the plan that went before."""
    return {key: value for key, value in day_file.items() if key != "previous"}


@transaction.atomic
def hold_wax(wax: Wax, label: str, by: Person) -> None:
    """Hold a wax to the flask of that label; an empty label lets it go."""
    held = WaxHeld.objects.filter(wax=wax).first()
    before = held.label if held else ""
    if label == before:
        return
    if label:
        WaxHeld.objects.update_or_create(wax=wax, defaults={"label": label})
    else:
        WaxHeld.objects.filter(wax=wax).delete()
    WaxChange.objects.create(wax=wax, by_person=by, before={"held": before}, after={"held": label})


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


@transaction.atomic
def fix_flask(day: CastingDay, label: str, state: str) -> Flask:
    """Note how far a flask has come; from invested on, every later plan keeps it as it is."""
    last = Plan.objects.latest_of(day)
    if last is None or label not in {flask["label"] for flask in last.plan["flasks"]}:
        raise NotPlanned(_("The plan has no flask %(label)s.") % {"label": label})
    flask, _made = Flask.objects.select_for_update().get_or_create(day=day, label=label)
    flask.state = Flask.State(state)
    flask.save(update_fields=["state"])
    return flask
