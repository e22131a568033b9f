"""Making a plan of a day's rows, and the teacher's own word on it: the only writers of plans.

One door: rows to a day file, the day file to a child process, its plan file to a row.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from casting.calc.values.enums import Do
from casting.dayfile.writing import lay_out
from casting.models import (
    CastingDay,
    Flask,
    Plan,
    Wax,
    WaxHeld,
)
from casting.presenters.formats import day_clock, stamp
from casting.presenters.refusals import refusal_of
from casting.selectors.day_file import NotPlanned, day_file_of
from casting.services.flasks import hold_wax
from school.models import Person

HERE = Path(__file__).resolve().parents[2]
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
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=day.pk)
        last = Plan.objects.latest_of(day)
        plan = Plan.objects.create(
            day=day,
            revision=last.revision + 1 if last else 1,
            day_file=day_file,
            plan_file=plan_file,
            made_by=by,
        )
        _stand_flasks(day, {flask["label"] for flask in plan.file["flasks"]})
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
        raise NotPlanned(refusal_of(said.decode("utf-8", "replace").strip(), json.loads(day_file)))
    # Only a line with its end is a whole plan; the last one is the best.
    plans = [line for line in written.split(b"\n")[:-1] if line]
    if not plans:
        raise NotPlanned(failed(_("it gave no plan within its limits")))
    return lay_out(json.loads(plans[-1]))


def failed(why: str) -> str:
    """What a teacher is told when no plan came of it."""
    sentence = _("The planning failed (%(why)s). The plan before still stands; press Make the plan once more.")
    return sentence % {"why": why}


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
