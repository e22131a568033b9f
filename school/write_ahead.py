"""SQLite's write-ahead log, taken over into the database by us alone.

SQLite up to 3.51.2 can lose a page if one connection takes the log over while another commits
(https://sqlite.org/wal.html#walresetbug). So no connection does it by itself, and ours takes the writer's lock first,
as the mode TRUNCATE does. The last connection to close takes it over too: nobody else is there then.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.signals import request_finished
from django.db import connection

LONGEST_BYTES = 4_000_000
"""About a hundred waxes: reading slows down as it grows, and taking it over makes writers wait some milliseconds."""


def listen() -> None:
    """Look at the log after each request, when its answer is on its way."""
    request_finished.connect(take_over_if_long)


def take_over_if_long(**_signal: Any) -> None:
    """Write what the log holds to the database, and empty it, once it is long."""
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        return
    log = Path(f"{connection.settings_dict['NAME']}-wal")
    if log.exists() and log.stat().st_size > LONGEST_BYTES:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
