"""Searches that a teacher watches: begun once however many press, stopped, broken off, kept.

The child writes into a folder and knows neither database nor secret. It holds a lock as long as it
lives, so that any process can tell whether it does. Whoever looks after its end takes in what it
found; a thread waits for that, for the case that nobody looks.
"""

from __future__ import annotations

import fcntl
import json
import logging
import os
import secrets
import shutil
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.utils.translation import gettext as _

from casting.calc.grouping.budget import SITE_EFFORT
from casting.dayfile.writing import lay_out
from casting.models import CastingDay, Plan, Search
from casting.presenters.refusals import refusal_of
from casting.selectors.day_file import NotPlanned, day_file_of
from casting.selectors.searches import asked_of, folder_of, found_by, lives
from casting.services.plans import HERE, MEMORY_BYTES, store_plan
from school.env import private_dir
from school.models import Person

log = logging.getLogger(__name__)

WALL_S, CPU_S = 150, 200
PATIENCE_S = 1.0
"""So long a request waits, so that a short search shows no page of its own."""

KEEP_MEMORY = {"MALLOC_MMAP_THRESHOLD_": str(32 * 2**20), "MALLOC_TRIM_THRESHOLD_": str(64 * 2**20)}
"""The C library keeps what the search hands back: fetching its arrays anew from the system costs a fifth more time."""

# The child lowers its own priority and sets its own limits; out of time, it notes that it was.
CHILD = f"""
import os, pathlib, runpy, signal, sys
os.nice(10)
try:
    import resource
    resource.setrlimit(resource.RLIMIT_CPU, ({CPU_S}, {CPU_S}))
    resource.setrlimit(resource.RLIMIT_AS, ({MEMORY_BYTES}, {MEMORY_BYTES}))
except (ImportError, ValueError, OSError):
    pass
end = pathlib.Path(sys.argv[1])
def note(code):
    end.with_suffix(".draft").write_text(str(code))
    end.with_suffix(".draft").replace(end)
def late(*_):
    note(0)
    os._exit(0)
signal.signal(signal.SIGALRM, late)
signal.alarm({WALL_S})
sys.argv = sys.argv[2:]
try:
    runpy.run_module(sys.argv[0], run_name="__main__")
except SystemExit as done:
    note(done.code or 0)
"""


def begin(day: CastingDay, by: Person, effort: int = SITE_EFFORT) -> Search:
    """Begin the search for a plan of the day as it stands, or return the one that goes on.

    Raises `NotPlanned` if no day file can be made of the day.
    """
    asked = day_file_of(day)
    return _begun(day, by, Search.Kind.PLAN, asked, ["casting.solve", "-", "--effort", str(effort)])


def begin_saving(plan: Plan, by: Person) -> Search:
    """Begin to try what would save a flask of this plan, or return the search that goes on."""
    asked = json.dumps({"day": plan.day_file, "plan": plan.plan_file})
    return _begun(plan.day, by, Search.Kind.SAVING, asked, ["casting.worker.savings"])


def _begun(day: CastingDay, by: Person, kind: Search.Kind, asked: str, command: list[str]) -> Search:
    latest(day, kind)
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=day.pk)
        there = Search.objects.filter(day=day, kind=kind).first()
        if there is not None and there.goes_on:
            return there
        if there is not None:
            shutil.rmtree(folder_of(there), ignore_errors=True)
            there.delete()
        search = Search(day=day, kind=kind, token=secrets.token_hex(16), begun_by=by, plan=Plan.objects.latest_of(day))
        child = _start(folder_of(search), asked, command)
        search.pid = child.pid
        search.save()
        transaction.on_commit(partial(_watch, search, child))
    return search


def _start(folder: Path, asked: str, command: list[str]) -> subprocess.Popen[bytes]:
    """The child, with its lock; it goes on if the server that started it does not."""
    private_dir(folder.parent)
    private_dir(folder)
    (folder / "asked").write_text(asked, encoding="utf-8")
    quiet = {"PATH": os.environ.get("PATH", ""), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"} | KEEP_MEMORY
    with (
        (folder / "lock").open("wb") as lock,
        (folder / "asked").open("rb") as read,
        (folder / "found").open("wb") as found,
        (folder / "said").open("wb") as said,
    ):
        fcntl.flock(lock, fcntl.LOCK_EX)
        return subprocess.Popen(  # noqa: S603 (our own interpreter, our own text, no shell)
            [sys.executable, "-c", CHILD, str(folder / "end"), *command],
            stdin=read,
            stdout=found,
            stderr=said,
            cwd=HERE,
            env=quiet,
            pass_fds=[lock.fileno()],
            start_new_session=True,
        )


def _watch(search: Search, child: subprocess.Popen[bytes]) -> None:
    """Take in what is found although nobody looks."""

    def wait() -> None:
        child.wait()
        try:
            settled(search)
        except Exception:
            log.exception("search %s of day %s", search.kind, search.day_id)
        finally:
            connection.close()

    threading.Thread(target=wait, daemon=True, name=f"search {search.token}").start()


def latest(day: CastingDay, kind: Search.Kind = Search.Kind.PLAN) -> Search | None:
    """The day's search of that kind as it stands now; None if there was none."""
    search = Search.objects.filter(day=day, kind=kind).select_related("day__course__school", "plan", "begun_by").first()
    return settled(search) if search is not None else None


def waited_for(search: Search) -> Search:
    """The search after a short wait, less if it ends before."""
    until = time.monotonic() + PATIENCE_S
    while search.goes_on and lives(search) and time.monotonic() < until:
        time.sleep(0.05)
    return settled(search)


def settled(search: Search) -> Search:
    """The search with its end noted and what it found kept, if its child has ended.

    One that neither ended by itself nor was stopped has broken off; what it found stays to be looked at.
    """
    if not search.goes_on or lives(search):
        return search
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=search.day_id)
        now = Search.objects.select_related("day__course__school", "plan", "begun_by").filter(pk=search.pk).first()
        if now is None or not now.goes_on:
            return now or search
        end = folder_of(now) / "end"
        code = end.read_text() if end.exists() else ""
        if code in ("0", "2"):
            _keep(now, code)
        else:
            now.state = Search.State.BROKEN
        now.save()
    return now


def _keep(search: Search, code: str) -> None:
    """Keep what an ended search found, as far as that can be, and clear its folder."""
    lines = found_by(search)
    try:
        if code == "2":
            said = (folder_of(search) / "said").read_text(encoding="utf-8", errors="replace").strip()
            raise NotPlanned(refusal_of(said, json.loads(asked_of(search))))
        if not lines:
            raise NotPlanned(_("Stopped before a plan was found. The plan before, if any, still stands."))
        if search.kind == Search.Kind.PLAN:
            _refuse_if_overtaken(search)
            search.plan = store_plan(search.day, asked_of(search), lay_out(json.loads(lines[-1])), search.begun_by)
        else:
            search.found = lines[-1]
        search.state = Search.State.KEPT
    except NotPlanned as refusal:
        search.state, search.sentence = Search.State.FAILED, refusal.sentence
    shutil.rmtree(folder_of(search), ignore_errors=True)


def _refuse_if_overtaken(search: Search) -> None:
    """Raise `NotPlanned` if the plan or a flask on the bench is no longer the one that the search began from."""
    if Plan.objects.latest_of(search.day) != search.plan:
        raise NotPlanned(_("Another plan was made while this search went on; that one stands."))
    fixed = set(json.loads(asked_of(search))["fixed"])
    if since := sorted(search.day.states().keys() - fixed):
        sentence = _("Flask %(label)s was invested while this search went on. Make the plan again, with it as it is.")
        raise NotPlanned(sentence % {"label": since[0]})


def stop(search: Search) -> Search:
    """End the search and keep the best that it has found."""
    if search.goes_on and lives(search):
        (folder_of(search) / "end").write_text("0")
        with suppress(ProcessLookupError):
            os.kill(search.pid, signal.SIGKILL)
        until = time.monotonic() + 5
        while lives(search) and time.monotonic() < until:
            time.sleep(0.02)
    return settled(search)


def keep_best(search: Search) -> Search:
    """Keep the best of a search that broke off."""
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=search.day_id)
        now = Search.objects.select_related("day__course__school", "plan", "begun_by").get(pk=search.pk)
        if now.state == Search.State.BROKEN:
            _keep(now, "0")
            now.save()
    return now


def best_so_far(search: Search) -> dict[str, Any] | None:
    """The best plan file that a search has written, read; None before the first."""
    lines = found_by(search)
    best: dict[str, Any] | None = json.loads(lines[-1]) if lines else None
    return best
