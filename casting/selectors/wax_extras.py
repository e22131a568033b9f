"""What a student gave along with a wax beside its figures: a note, a photo. Reads only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from casting.models import CastingDay, Wax


@dataclass(frozen=True, slots=True)
class WaxExtra:
    """The note of a wax and its small photo, each empty if there is none."""

    note: str
    photo: bytes


def extras_of(day: CastingDay) -> Mapping[str, WaxExtra]:
    """Return what was given along with the waxes of a day, by tag; those with nothing are left out. One query."""
    rows = Wax.objects.filter(day=day, withdrawn_at__isnull=True).values_list("tag", "note", "photo__small")
    return {tag: WaxExtra(note, bytes(small or b"")) for tag, note, small in rows.iterator() if note or small}


def marks_of_extras(day: CastingDay) -> list[tuple[str, str, str | None]]:
    """Return the tag, note and digest of the photo of each such wax: others as soon as anything of it is. One query."""
    rows = Wax.objects.filter(day=day, withdrawn_at__isnull=True).values_list("tag", "note", "photo__sent_as")
    return sorted(row for row in rows if row[1] or row[2])
