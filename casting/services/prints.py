"""Noting that papers were printed: the only writer of `PaperPrinted`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Protocol

from django.utils import timezone

from casting.models import CastingDay, PaperPrinted
from casting.services.day_shut import refuse_if_shut
from school.models import Person


class PrintedPage(Protocol):
    """A page that was printed: which paper, of which revision, from what, and when."""

    @property
    def key(self) -> str: ...
    @property
    def revision(self) -> int | None: ...
    @property
    def parts(self) -> Mapping[str, str]: ...
    @property
    def at(self) -> datetime | None: ...


def mark_printed(day: CastingDay, pages: Iterable[PrintedPage], by: Person) -> None:
    """Note that these pages have been printed, at the time that they say or else now. One query.

    Raises `DayShut` if the day is cancelled or closed: its record of prints is over.
    """
    refuse_if_shut(day)
    PaperPrinted.objects.bulk_create(
        PaperPrinted(
            day=day, key=page.key, revision=page.revision, parts=dict(page.parts), by=by, at=page.at or timezone.now()
        )
        for page in pages
    )
