"""System checks: what this machine lacks, and the command that installs it."""

from django.db import connection

from school import checks


def test_the_pragmas_of_the_settings_are_in_force(db):
    assert checks.check_pragmas(None, databases=["default"]) == []


def test_a_pragma_that_is_not_in_force_stops_the_start(db, settings):
    settings.SQLITE_PRAGMAS = {"synchronous": 1}
    found = checks.check_pragmas(None, databases=["default"])
    assert [error.id for error in found] == (["school.E001"] if connection.vendor == "sqlite" else [])


def test_a_machine_without_pango_is_told_what_to_install(monkeypatch):
    assert checks.check_pango(None) == []
    monkeypatch.setattr(checks, "PANGO_FILES", ("libno-such-pango.so",))
    (warning,) = checks.check_pango(None)
    assert warning.id == "school.W001"
    for command in ("apt-get install", "dnf install pango", "brew install pango"):
        assert command in warning.hint
