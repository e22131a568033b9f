"""The triggers that give a school a new mark with every change of what is kept of it, whoever makes it and however.

Marks are drawn by lot: one that was given in a transaction that was rolled back never comes again. Where a row is
deleted only a mark that is there is drawn anew, because the whole school may be going. A later migration that rebuilds
one of these tables on SQLite calls `remove` before and `put_up` after.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

WATCHED = {"school_school": "{row}.id", "school_course": "{row}.school_id"}
"""The tables of this app that are kept, and which school a row of them belongs to."""
EVENTS = ("INSERT", "UPDATE", "DELETE")


def _sqlite(watched: Mapping[str, str]) -> Iterator[str]:
    for table, school in watched.items():
        of_new, of_old = school.format(row="NEW"), school.format(row="OLD")
        given = (
            f"DELETE FROM school_schoolmark WHERE school_id = {of_new}; INSERT INTO school_schoolmark (school_id, mark) "
            f"SELECT id, hex(randomblob(16)) FROM school_school WHERE id = {of_new};"
        )
        renewed = f"UPDATE school_schoolmark SET mark = hex(randomblob(16)) WHERE school_id = {of_old};"
        for event in EVENTS:
            does = renewed if event == "DELETE" else given
            yield f"CREATE TRIGGER {table}_marked_{event.lower()} AFTER {event} ON {table} BEGIN {does} END"


def _postgresql(watched: Mapping[str, str]) -> Iterator[str]:
    drawn = "gen_random_uuid()::text"
    for table, school in watched.items():
        of_new, of_old = school.format(row="NEW"), school.format(row="OLD")
        yield (
            f"CREATE FUNCTION {table}_marked() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF TG_OP = 'DELETE' THEN UPDATE school_schoolmark SET mark = {drawn} WHERE school_id = {of_old}; "
            f"ELSE INSERT INTO school_schoolmark (school_id, mark) SELECT id, {drawn} FROM school_school "
            f"WHERE id = {of_new} ON CONFLICT (school_id) DO UPDATE SET mark = EXCLUDED.mark; "
            "END IF; RETURN NULL; END $$"
        )
        yield (
            f"CREATE TRIGGER {table}_marked AFTER INSERT OR UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {table}_marked()"
        )


def watch(editor: Any, watched: Mapping[str, str]) -> None:
    """Create the triggers of these tables, each with the SQL of the school of its `{row}`."""
    statements = _postgresql if editor.connection.vendor == "postgresql" else _sqlite
    for statement in statements(watched):
        editor.execute(statement)


def leave(editor: Any, tables: Iterable[str]) -> None:
    """Drop the triggers of these tables."""
    for table in tables:
        if editor.connection.vendor == "postgresql":
            editor.execute(f"DROP TRIGGER {table}_marked ON {table}")
            editor.execute(f"DROP FUNCTION {table}_marked()")
        else:
            for event in EVENTS:
                editor.execute(f"DROP TRIGGER {table}_marked_{event.lower()}")


def put_up(_apps: Any, editor: Any) -> None:
    """Create the triggers of this app."""
    watch(editor, WATCHED)


def remove(_apps: Any, editor: Any) -> None:
    """Drop them."""
    leave(editor, WATCHED)
