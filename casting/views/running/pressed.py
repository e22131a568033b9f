"""What a tablet says of a press: what it was and when."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest
from django.utils.dateparse import parse_datetime

from casting.services.running.ticks import Press


def pressed_at(text: str) -> datetime | None:
    """Return when a tablet says that it was pressed; None if it says nothing that is a moment."""
    try:
        at = parse_datetime(text[:40])
    except ValueError:
        return None
    return at if at is not None and at.tzinfo is not None else None


def pressed_in(request: HttpRequest) -> Press:
    """Return what was pressed, as a form of the bench says it."""
    given, seen = request.POST, request.POST.get("seen", "")
    return Press(
        given.get("do", "")[:20],
        given.get("what", "")[:40],
        pressed_at(given.get("at", "")),
        given.get("who", "").strip()[:80],
        given.get("sure") == "yes",
        given.get("undo") == "yes",
        int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 15 else None,
        *(given.get(name, "")[:40] for name in ("reads", "base", "base_reads")),
    )
