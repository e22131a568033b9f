"""A casting day of the cast's own class, planned without a child process."""

import hashlib
import os

import pytest

from casting.papers.pdf.typesetting import Typesetter
from casting.services import searches
from tests.casting.planned import start_here
from tests.casting_factories import DayFactory


@pytest.fixture
def day(course):
    return DayFactory(course=course)


@pytest.fixture(autouse=True)
def _searched_here(request, monkeypatch):
    """Search in this process, except where a test is marked `child`."""
    if request.node.get_closest_marker("child") is None:
        monkeypatch.setattr(searches, "start_child", start_here)


@pytest.fixture(scope="session")
def set_already(tmp_path_factory, worker_id):
    """A folder of this run, the same for all its workers: PDFs by the page that they were made of."""
    base = tmp_path_factory.getbasetemp()
    folder = (base if worker_id == "master" else base.parent) / "set-already"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(autouse=True)
def _set_once(request, monkeypatch, set_already):
    """Typeset each page once in a run, except where a test is marked `anew`; styles and fonts are the same all the run.

    A child process always typesets.
    """
    if request.node.get_closest_marker("anew") is not None:
        return
    typeset = Typesetter.pdf

    def pdf(self, html):
        made = set_already / hashlib.sha256(html.encode()).hexdigest()
        if not made.exists():
            # Another worker may look meanwhile: it finds the whole or nothing.
            begun = made.with_suffix(f".{os.getpid()}")
            begun.write_bytes(typeset(self, html))
            begun.replace(made)
        return made.read_bytes()

    monkeypatch.setattr(Typesetter, "pdf", pdf)
