"""Where a bench works: an empty room with a database of its own; and how its figures are printed."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager


@contextmanager
def empty_room(name: str, *, sqlite: bool = True, **environment: str) -> Iterator[None]:
    """Set Django up in an empty folder; without `sqlite` on the database that DATABASE_URL names, if it does."""
    with tempfile.TemporaryDirectory(prefix=f"casting-{name}-") as room:
        os.environ |= {"CASTING_DATA_DIR": room, "DJANGO_SETTINGS_MODULE": "school.settings", **environment}
        if sqlite:
            os.environ.pop("DATABASE_URL", None)
        import django
        from django.core.management import call_command
        from django.db import connections

        django.setup()
        call_command("migrate", verbosity=0)
        call_command("collectstatic", verbosity=0, interactive=False)
        try:
            yield
        finally:
            connections.close_all()


def told(rows: Iterable[tuple[str, str, str]]) -> None:
    """Print rows as they come."""
    for what, figure, against in rows:
        print(f"{what:<34} {figure:<30} {against}", flush=True)
