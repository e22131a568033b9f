"""System checks that name what this machine lacks and the command that installs it."""

import ctypes
from collections.abc import Sequence
from typing import Any

from django.apps.config import AppConfig
from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.db import connection

PANGO_FILES = ("libpango-1.0.so.0", "libpango-1.0-0", "pango-1.0-0", "libpango-1.0.dylib", "pango-1.0")
PANGO_HINT = (
    "Debian or Ubuntu: sudo apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0; "
    "Fedora: sudo dnf install pango; macOS: brew install pango."
)


def has_pango() -> bool:
    """Tell whether Pango, which sets the PDFs in type, is installed."""
    for name in PANGO_FILES:
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return True
    return False


@register()
def check_pango(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Warn where no PDF can be made."""
    if has_pango():
        return []
    sentence = "Pango is not on this machine: everything works except the PDF papers."
    return [Warning(sentence, hint=PANGO_HINT, id="school.W001")]


@register(Tags.database)
def check_pragmas(app_configs: Sequence[AppConfig] | None, **kwargs: Any) -> list[CheckMessage]:
    """Compare the pragmas in force with those we set: a network share, say, silently refuses the write-ahead log."""
    if connection.vendor != "sqlite" or not kwargs.get("databases"):
        return []
    wrong: list[CheckMessage] = []
    with connection.cursor() as cursor:
        for name, wanted in settings.SQLITE_PRAGMAS.items():
            found = cursor.execute(f"PRAGMA {name}").fetchone()[0]
            if found != wanted:
                sentence = f"SQLite runs with {name}={found} instead of {wanted}."
                wrong.append(Error(sentence, hint="Keep the data on a local disk.", id="school.E001"))
    return wrong
