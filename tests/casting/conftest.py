"""A casting day of the cast's own class, planned and printed without a child process."""

import hashlib
import os
import threading
from datetime import UTC, datetime

import pytest
from django.utils import timezone

from casting.papers.pdf import render as rendering
from casting.papers.pdf.typesetting import Typesetter
from casting.presenters import opened_plan
from casting.services import searches
from tests.casting.planned import EndedChild, make_plan, start_here
from tests.casting_factories import DayFactory, handed_in

STILL = datetime(2027, 1, 11, 15, tzinfo=UTC)
"""Long before the plans that are written by hand, and in winter as they are."""


@pytest.fixture
def still(monkeypatch):
    """The clock stands: whatever tests make alike prints alike, and is typeset once in a run."""
    for module in (timezone, opened_plan):
        monkeypatch.setattr(module, "now", lambda: STILL)


@pytest.fixture
def day(course):
    return DayFactory(course=course)


def with_bands(day, student, teacher, count):
    """The day with so many plain bands in sterling, planned by the computer."""
    for _nth in range(count):
        handed_in(day, student)
    make_plan(day, teacher)
    return day


@pytest.fixture
def planned(day, student, teacher):
    return with_bands(day, student, teacher, 3)


@pytest.fixture
def board(day, student, teacher):
    """Two flasks or more."""
    return with_bands(day, student, teacher, 6)


@pytest.fixture(autouse=True)
def _done_here(request, monkeypatch):
    """Search and make papers in this process, except where a test is marked `child`."""
    if request.node.get_closest_marker("child") is None:
        monkeypatch.setattr(searches, "start_child", searched_once if "still" in request.fixturenames else start_here)
        monkeypatch.setattr(rendering, "_child", rendered_here)
        yield
        return
    started, start = [], searches.start_child
    monkeypatch.setattr(searches, "start_child", lambda *asked: started.append(start(*asked)) or started[-1])
    yield
    # Nobody else waits for a child whose test's transaction is rolled back.
    for child in started:
        child.kill()
        child.wait()


SEARCHED: dict = {}


def searched_once(folder, command):
    """Search in this process, or give what the same search of the same day file found before."""
    asked = (folder / "asked").read_bytes(), *command
    if asked not in SEARCHED:
        start_here(folder, command)
        SEARCHED[asked] = {name: (folder / name).read_bytes() for name in ("found", "said", "end")}
    for name, content in SEARCHED[asked].items():
        (folder / name).write_bytes(content)
    return EndedChild()


ONE_AT_A_TIME = threading.Lock()


def rendered_here(pages, _wall_s):
    """The answers of a child that makes every page, or says why it cannot."""

    def answer(html):
        try:
            return rendering.render(html)
        except Exception as error:
            return rendering.NotRendered(f"{type(error).__name__}: {error}")

    with ONE_AT_A_TIME:
        return [answer(html) for html in pages], rendering.NotRendered("")


@pytest.fixture
def blank_papers(monkeypatch):
    """Each page of a paper is written as ever and a blank sheet set for it: for who asks if an address answers."""
    monkeypatch.setattr(rendering, "_child", lambda pages, wall_s: rendered_here([BLANK] * len(pages), wall_s))


BLANK = '<html lang="en"><title>Blank</title><p>A sheet.</p></html>'
TYPESET, MEND = Typesetter.pdf, rendering.mend


@pytest.fixture
def rendered_anew(monkeypatch):
    """Makes the PDF of a page, though another test of the run may have made it."""

    def made(html):
        with monkeypatch.context() as as_it_is:
            as_it_is.setattr(Typesetter, "pdf", TYPESET)
            as_it_is.setattr(rendering, "mend", MEND)
            return rendering.render(html)

    return made


@pytest.fixture(scope="session")
def set_already(tmp_path_factory, worker_id):
    """A folder of this run, the same for all its workers: PDFs by the page that they were made of."""
    base = tmp_path_factory.getbasetemp()
    folder = (base if worker_id == "master" else base.parent) / "set-already"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(autouse=True)
def _set_once(request, monkeypatch, set_already):
    """Typeset a page and mend its tags once in a run, unless a test is marked `anew`; styles and fonts stay the same.

    A child process always typesets.
    """
    if request.node.get_closest_marker("anew") is not None:
        return

    def once(asked, make):
        made = set_already / hashlib.sha256(asked).hexdigest()
        if not made.exists():
            # Another worker may look meanwhile: it finds the whole or nothing.
            begun = made.with_suffix(f".{os.getpid()}")
            begun.write_bytes(make())
            begun.replace(made)
        return made.read_bytes()

    monkeypatch.setattr(Typesetter, "pdf", lambda self, html: once(html.encode(), lambda: TYPESET(self, html)))
    monkeypatch.setattr(rendering, "mend", lambda pdf: once(pdf, lambda: MEND(pdf)))
