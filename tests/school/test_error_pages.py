"""The page of a fault of ours: it comes even when what broke is what every other page needs."""

import pytest
from django.db import OperationalError
from django.template import engines
from django.test import RequestFactory
from django.views.defaults import server_error

from school.busy import BusyDatabaseMiddleware


@pytest.fixture
def nothing_else(monkeypatch):
    """Static files that have no manifest, and no other template."""

    def missing(_files, name, *_rest):
        raise ValueError(f"Missing staticfiles manifest entry for {name!r}")

    monkeypatch.setattr("django.contrib.staticfiles.storage.StaticFilesStorage.url", missing)
    (engine,) = engines.all()
    for loader in engine.engine.template_loaders:
        found = loader.get_template
        monkeypatch.setattr(
            loader, "get_template", lambda name, *rest, found=found, **how: only(name) and found(name, *rest, **how)
        )


def only(name):
    assert name in ("500.html", "503.html"), f"{name} is another template"
    return True


def test_a_fault_has_a_page_that_needs_nothing_else(nothing_else):
    answer = server_error(RequestFactory().get("/days/"))
    page = answer.content.decode()
    assert answer.status_code == 500 and "<h1>Something broke on our side</h1>" in page
    assert 'href="/"' in page and "<link" not in page and "<script" not in page


def test_so_has_a_busy_database(nothing_else):
    answer = BusyDatabaseMiddleware(None).process_exception(None, OperationalError("database is locked"))
    assert answer.status_code == 503 and "<h1>Too many people are saving at once</h1>" in answer.content.decode()
