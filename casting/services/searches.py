"""Searches for a day's plan and for what would save a flask: begun once however many press, stopped, settled.

The child writes into a folder and knows neither database nor secret. It holds a lock as long as it
lives, so that any process can tell whether it does. A thread waits for its end and settles the search;
if the server was restarted meanwhile, the next POST of the search's page settles it.
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

from django.db import connection, transaction
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _

from casting.calc.grouping.budget import SITE_EFFORT
from casting.calc.values.errors import Refused
from casting.dayfile.writing import lay_out
from casting.models import CastingDay, Plan, Search
from casting.models.errors import NotPlanned
from casting.presenters.formats import units_of
from casting.presenters.refusals import refusal_of
from casting.selectors.day_file import day_file_of, kilns_of
from casting.selectors.searches import OFFERED, aside_of, asked_of, folder_of, found_by, latest, lives
from casting.services.day_shut import locked_open
from casting.services.plans import store_plan
from school.env import private_dir
from school.models import Person

log = logging.getLogger(__name__)

PATIENCE_S = 1.0
"""How long a request waits, so that a short search shows no page of its own."""

PROJECT = Path(__file__).resolve().parents[2]
CHILD = ("-m", "casting.worker.child")

KEEP_MEMORY = {"MALLOC_MMAP_THRESHOLD_": str(32 * 2**20), "MALLOC_TRIM_THRESHOLD_": str(64 * 2**20)}
"""The C library keeps what the search hands back: fetching its arrays again from the system costs a fifth more time."""


def begin(day: CastingDay, by: Person, effort: int = SITE_EFFORT) -> Search:
    """Begin the search for a plan of the day as it is now, or return the one that goes on.

    Raises `NotPlanned` if no day file can be made of the day.
    """
    asked, kilns = day_file_of(day), json.dumps(kilns_of(day.course.school))
    return _begun(day, by, Search.Kind.PLAN, asked, ["casting.worker.planning", str(effort), kilns])


def begin_saving(plan: Plan, by: Person) -> Search:
    """Begin to try what would save a flask of this plan, or return the search that goes on."""
    asked = json.dumps({"day": plan.day_file, "plan": plan.plan_file})
    return _begun(plan.day, by, Search.Kind.SAVING, asked, ["casting.worker.savings"])


def _begun(day: CastingDay, by: Person, kind: Search.Kind, asked: str, command: list[str]) -> Search:
    if (before := latest(day, kind)) is not None:
        settle(before)
    with transaction.atomic():
        locked_open(day.pk)
        there = Search.objects.filter(day=day, kind=kind).first()
        if there is not None and there.goes_on:
            return there
        if there is not None:
            shutil.rmtree(folder_of(there), ignore_errors=True)
            there.delete()
        search = Search(day=day, kind=kind, token=secrets.token_hex(16), begun_by=by, plan=Plan.objects.latest_of(day))
        folder = folder_of(search)
        private_dir(folder.parent)
        private_dir(folder)
        (folder / "asked").write_text(asked, encoding="utf-8")
        (folder / "language").write_text(get_language() or "en")
        child = start_child(folder, command)
        search.pid = child.pid
        search.save()
        transaction.on_commit(partial(_watch, search, child))
    return search


def start_child(folder: Path, command: list[str]) -> subprocess.Popen[bytes]:
    """Start a module with its arguments in a child that holds the folder's lock, and outlives this server."""
    quiet = {"PATH": os.environ.get("PATH", ""), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"} | KEEP_MEMORY
    with (
        (folder / "lock").open("wb") as lock,
        (folder / "asked").open("rb") as read,
        (folder / "found").open("wb") as found,
        (folder / "said").open("wb") as said,
    ):
        fcntl.flock(lock, fcntl.LOCK_EX)
        return subprocess.Popen(  # noqa: S603 (our own interpreter, our own text, no shell)
            [sys.executable, *CHILD, str(folder / "end"), *command],
            stdin=read,
            stdout=found,
            stderr=said,
            cwd=PROJECT,
            env=quiet,
            pass_fds=[lock.fileno()],
            start_new_session=True,
        )


def _watch(search: Search, child: subprocess.Popen[bytes]) -> None:
    """Settle a search when its child ends, though nobody looks at its page."""

    def wait() -> None:
        child.wait()
        try:
            settle(search)
        except Exception:
            log.exception("search %s of day %s", search.kind, search.day_id)
        finally:
            connection.close()

    threading.Thread(target=wait, daemon=True, name=f"search {search.token}").start()


def wait_for(search: Search) -> Search:
    """Wait for the end of a search, a short time at most, and settle it if it has ended."""
    until = time.monotonic() + PATIENCE_S
    while search.goes_on and lives(search) and time.monotonic() < until:
        time.sleep(0.05)
    return settle(search)


def settle(search: Search) -> Search:
    """Note the end of a search and keep what it found, if its child has ended; return its row as it is then.

    A child that neither ended by itself nor was stopped has broken off; what it found stays for the teacher.
    """
    if not search.goes_on or lives(search):
        return search
    with transaction.atomic():
        # The day itself may be gone, as a rehearsal's is.
        CastingDay.objects.select_for_update().filter(pk=search.day_id).first()
        now = Search.objects.select_related("day__course__school", "plan", "begun_by").filter(pk=search.pk).first()
        if now is None or not now.goes_on:
            return now or search
        end = folder_of(now) / "end"
        code = end.read_text() if end.exists() else ""
        if code in ("0", "2"):
            with override(_language_of(now)):
                _keep(now, code)
        else:
            now.state = Search.State.BROKEN
        now.save()
    return now


def _language_of(search: Search) -> str:
    """The language of whoever began a search, in which its refusal is kept; a thread that waits for it has none."""
    kept = folder_of(search) / "language"
    return kept.read_text() if kept.exists() else "en"


def _keep(search: Search, code: str) -> None:
    """Keep what an ended search found, as far as that can be, and clear its folder."""
    lines = found_by(search)
    if search.kind == Search.Kind.PLAN:
        search.found = aside_of(search)
    try:
        if code == "2":
            said = (folder_of(search) / "said").read_text(encoding="utf-8", errors="replace").strip()
            units = units_of(search.day.course.school)
            raise NotPlanned(refusal_of(Refused.from_line(said), json.loads(asked_of(search)), units))
        if not lines:
            raise NotPlanned(_("Stopped before a plan was found. The last plan, if there is one, still stands."))
        if search.kind == Search.Kind.PLAN:
            _refuse_if_overtaken(search, lines[-1])
            search.plan = store_plan(search.day, asked_of(search), lay_out(json.loads(lines[-1])), search.begun_by)
        else:
            search.found = lines[-1]
        search.state = Search.State.KEPT
    except NotPlanned as refusal:
        search.state, search.sentence = Search.State.FAILED, refusal.sentence
    shutil.rmtree(folder_of(search), ignore_errors=True)


def _refuse_if_overtaken(search: Search, line: str) -> None:
    """Raise `NotPlanned` if the plan or a flask on the bench is no longer the one that the search began from.

    What it found is then kept beside the plan that stands, for whoever wants it.
    """
    if Plan.objects.latest_of(search.day) != search.plan:
        search.found = json.dumps({"aside": OFFERED, "day_file": asked_of(search), "plan": json.loads(line)})
        raise NotPlanned(_("Another plan was made during this search. That one stands."))
    fixed = set(json.loads(asked_of(search))["fixed"])
    if since := sorted(search.day.states().keys() - fixed):
        sentence = _("Flask %(label)s was invested during this search. Make the plan again with it as it is.")
        raise NotPlanned(sentence % {"label": since[0]})


def stop(search: Search) -> Search:
    """Stop a search and keep the best that it has found; settle it if it has ended already."""
    if search.goes_on and lives(search):
        (folder_of(search) / "end").write_text("0")
        with suppress(ProcessLookupError):
            os.kill(search.pid, signal.SIGKILL)
        until = time.monotonic() + 5
        while lives(search) and time.monotonic() < until:
            time.sleep(0.02)
    return settle(search)


def keep_best(search: Search) -> Search:
    """Keep the best of a search that broke off."""
    with transaction.atomic():
        CastingDay.objects.select_for_update().get(pk=search.day_id)
        now = Search.objects.select_related("day__course__school", "plan", "begun_by").get(pk=search.pk)
        if now.state == Search.State.BROKEN:
            with override(_language_of(now)):
                _keep(now, "0")
            now.save()
    return now
