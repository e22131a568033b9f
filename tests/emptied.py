"""Emptying the database after a test that commits: SQLite deletes row by row, which the metal account refuses."""

from contextlib import contextmanager
from importlib import import_module

from django.db import connection

guards = import_module("casting.migrations._account_guards")


@contextmanager
def without_guards():
    """Take the guards of the account down for as long as SQLite deletes every row of every table."""
    if connection.vendor != "sqlite":
        yield  # PostgreSQL empties its tables at once, and no trigger is asked
        return
    with connection.schema_editor() as editor:
        guards.remove(None, editor)
    try:
        yield
    finally:
        with connection.schema_editor() as editor:
            guards.put_up(None, editor)
