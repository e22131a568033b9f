"""What a tablet says of a press: when it was."""

from __future__ import annotations

from datetime import datetime

from django.utils.dateparse import parse_datetime


def pressed_at(text: str) -> datetime | None:
    """Return when a tablet says that it was pressed; None if it says nothing that is a moment."""
    try:
        at = parse_datetime(text[:40])
    except ValueError:
        return None
    return at if at is not None and at.tzinfo is not None else None
