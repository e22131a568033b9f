"""What a search has written so far, and whether its child still works. Reads only."""

from __future__ import annotations

import fcntl
from contextlib import suppress
from pathlib import Path

from django.conf import settings

from casting.models import Search


def folder_of(search: Search) -> Path:
    """Where a search's child reads and writes."""
    return Path(settings.DATA_DIR) / "searches" / search.token


def lives(search: Search) -> bool:
    """Tell whether the child of a search is still at work: it holds its lock as long as it lives."""
    try:
        with (folder_of(search) / "lock").open("rb") as lock:
            fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        return False
    return False


def found_by(search: Search) -> list[str]:
    """The whole lines that a search has written so far; the last is the best."""
    with suppress(OSError):
        written = (folder_of(search) / "found").read_text(encoding="utf-8")
        return [line for line in written.split("\n")[:-1] if line]
    return []


def asked_of(search: Search) -> str:
    """What a search was given; empty if its folder is gone."""
    with suppress(OSError):
        return (folder_of(search) / "asked").read_text(encoding="utf-8")
    return ""
