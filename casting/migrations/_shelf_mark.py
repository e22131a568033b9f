"""The triggers that give a school's shelf a new mark with every change of it, whoever makes it and however.

Marks are drawn by lot: one that was given in a transaction that was rolled back never comes again. A row that is
deleted takes the mark away, because its whole school may be going; the next change gives a new one. A later migration
that rebuilds one of these tables on SQLite calls `remove` before and `put_up` after.
"""

from collections.abc import Iterator
from typing import Any

TABLES = ("alloy", "patternmaterial", "investment", "flasksize", "kiln", "firing", "houserules")
TAKEN = "DELETE FROM casting_shelfmark WHERE school_id = {row}.school_id;"
GIVEN = "INSERT INTO casting_shelfmark (school_id, mark) VALUES (NEW.school_id, {by_lot});"


def _sqlite() -> Iterator[str]:
    given = TAKEN.format(row="NEW") + GIVEN.format(by_lot="hex(randomblob(16))")
    for table in TABLES:
        for event, does in (("INSERT", given), ("UPDATE", given), ("DELETE", TAKEN.format(row="OLD"))):
            name = f"casting_{table}_marked_{event.lower()}"
            yield f"CREATE TRIGGER {name} AFTER {event} ON casting_{table} BEGIN {does} END"


def _postgresql() -> Iterator[str]:
    given = GIVEN.format(by_lot="gen_random_uuid()::text").replace(
        ";", " ON CONFLICT (school_id) DO UPDATE SET mark = EXCLUDED.mark;"
    )
    yield (
        "CREATE FUNCTION casting_shelf_marked() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF TG_OP = 'DELETE' THEN {TAKEN.format(row='OLD')} ELSE {given} END IF; RETURN NULL; END $$"
    )
    for table in TABLES:
        yield (
            f"CREATE TRIGGER casting_{table}_marked AFTER INSERT OR UPDATE OR DELETE ON casting_{table} "
            "FOR EACH ROW EXECUTE FUNCTION casting_shelf_marked()"
        )


def put_up(_apps: Any, editor: Any) -> None:
    """Create the triggers of this database's engine."""
    for statement in _postgresql() if editor.connection.vendor == "postgresql" else _sqlite():
        editor.execute(statement)


def remove(_apps: Any, editor: Any) -> None:
    """Drop them."""
    postgresql = editor.connection.vendor == "postgresql"
    for table in TABLES:
        if postgresql:
            editor.execute(f"DROP TRIGGER casting_{table}_marked ON casting_{table}")
        else:
            for event in ("insert", "update", "delete"):
                editor.execute(f"DROP TRIGGER casting_{table}_marked_{event}")
    if postgresql:
        editor.execute("DROP FUNCTION casting_shelf_marked()")
