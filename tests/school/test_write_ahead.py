"""The write-ahead log: taken over by us once it is long, and by nobody else."""

import sqlite3
from contextlib import closing
from types import SimpleNamespace

import pytest
from django.conf import settings

from school import write_ahead


@pytest.fixture
def logged(tmp_path, monkeypatch):
    """A database with a log of about 100 KB, as the site opens it."""
    path = tmp_path / "one.sqlite3"
    raw = sqlite3.connect(path, isolation_level=None)
    for name, value in settings.SQLITE_PRAGMAS.items():
        raw.execute(f"PRAGMA {name}={value}")
    raw.execute("CREATE TABLE wax (note TEXT)")
    raw.execute("INSERT INTO wax VALUES (?)", ["x" * 100_000])
    site = SimpleNamespace(vendor="sqlite", in_atomic_block=False, settings_dict={"NAME": path})
    site.cursor = lambda: closing(raw.cursor())
    monkeypatch.setattr(write_ahead, "connection", site)
    yield site, path.with_name("one.sqlite3-wal")
    raw.close()


def test_a_long_log_is_emptied_and_a_short_one_stays(logged, monkeypatch):
    _site, log = logged
    write_ahead.take_over_if_long()
    assert log.stat().st_size > 100_000
    monkeypatch.setattr(write_ahead, "LONGEST_BYTES", 50_000)
    write_ahead.take_over_if_long()
    assert log.stat().st_size == 0


@pytest.mark.parametrize("otherwise", [{"vendor": "postgresql"}, {"in_atomic_block": True}])
def test_it_stays_within_a_transaction_and_another_database_has_none(otherwise, logged, monkeypatch):
    site, log = logged
    vars(site).update(otherwise)
    monkeypatch.setattr(write_ahead, "LONGEST_BYTES", 50_000)
    write_ahead.take_over_if_long()
    assert log.stat().st_size > 100_000


def test_no_connection_takes_a_log_over_by_itself(logged):
    site, log = logged
    with site.cursor() as cursor:
        # SQLite would after a thousand pages, 4 MB.
        for _nth in range(60):
            cursor.execute("INSERT INTO wax VALUES (?)", ["x" * 100_000])
    assert log.stat().st_size > 6_000_000
