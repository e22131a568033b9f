"""The triggers that keep the metal account: added to and never changed, and metal of one kind for metal of that kind.

A row goes only with its whole school, whose deletion notes its number in `casting_schoolleaving` first. A later
migration that rebuilds one of these tables on SQLite calls `remove` before and `put_up` after: the triggers of a table
are dropped with it.
"""

from collections.abc import Iterator
from typing import Any

OF_SCHOOL = ("casting_lot", "casting_pricelist", "casting_account", "casting_accountentry")
SCHOOL_OF = {table: "OLD.school_id" for table in OF_SCHOOL} | {
    "casting_transfer": "(SELECT school_id FROM casting_accountentry WHERE id = OLD.entry_id)"
}
KEPT = "The metal account is only added to: correct an entry by another entry."
ONE_KIND = "A transfer is between two accounts of one school and one kind of metal, or of money."
LEAVING = "EXISTS (SELECT 1 FROM casting_schoolleaving WHERE number = {school})"
PAIR = """EXISTS (
  SELECT 1 FROM casting_account giver, casting_account taker, casting_accountentry entry
  WHERE giver.id = NEW.from_account_id AND taker.id = NEW.to_account_id AND entry.id = NEW.entry_id
  AND giver.school_id = taker.school_id AND entry.school_id = giver.school_id
  AND (giver.alloy_id = taker.alloy_id OR (giver.alloy_id IS NULL AND taker.alloy_id IS NULL)))"""


def _sqlite() -> Iterator[str]:
    for table, school in SCHOOL_OF.items():
        refuse = f"BEGIN SELECT RAISE(ABORT, '{KEPT}'); END"
        yield f"CREATE TRIGGER {table}_unchanged BEFORE UPDATE ON {table} {refuse}"
        leaving = LEAVING.format(school=school)
        yield f"CREATE TRIGGER {table}_kept BEFORE DELETE ON {table} WHEN NOT {leaving} {refuse}"
    yield (
        f"CREATE TRIGGER casting_transfer_of_one_kind BEFORE INSERT ON casting_transfer WHEN NOT {PAIR} "
        f"BEGIN SELECT RAISE(ABORT, '{ONE_KIND}'); END"
    )


def _postgresql() -> Iterator[str]:
    raising = "RAISE EXCEPTION '{}' USING ERRCODE = 'integrity_constraint_violation';"
    for table, school in SCHOOL_OF.items():
        leaving = LEAVING.format(school=school)
        yield (
            f"CREATE FUNCTION {table}_kept() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF TG_OP = 'UPDATE' THEN {raising.format(KEPT)} END IF; "
            f"IF NOT {leaving} THEN {raising.format(KEPT)} END IF; RETURN OLD; END $$"
        )
        yield (
            f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {table}_kept()"
        )
    yield (
        f"CREATE FUNCTION casting_transfer_of_one_kind() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF NOT {PAIR} THEN {raising.format(ONE_KIND)} END IF; RETURN NEW; END $$"
    )
    yield (
        "CREATE TRIGGER casting_transfer_of_one_kind BEFORE INSERT ON casting_transfer "
        "FOR EACH ROW EXECUTE FUNCTION casting_transfer_of_one_kind()"
    )


def put_up(_apps: Any, editor: Any) -> None:
    """Create the triggers of this database's engine."""
    for statement in _postgresql() if editor.connection.vendor == "postgresql" else _sqlite():
        editor.execute(statement)


def remove(_apps: Any, editor: Any) -> None:
    """Drop them."""
    postgresql = editor.connection.vendor == "postgresql"
    for table in SCHOOL_OF:
        names = [f"{table}_kept"] if postgresql else [f"{table}_kept", f"{table}_unchanged"]
        names += ["casting_transfer_of_one_kind"] if table == "casting_transfer" else []
        for name in names:
            editor.execute(f"DROP TRIGGER {name} ON {table}" if postgresql else f"DROP TRIGGER {name}")
            if postgresql:
                editor.execute(f"DROP FUNCTION {name}()")
