"""The photo of a finished base as pages show it."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from datetime import datetime

from casting.calc.values.enums import Tick
from casting.presenters.plan_sheet import FlaskSheet
from casting.selectors.flasks import Notes


@dataclass(frozen=True, slots=True)
class BasePhotoLine:
    """A photo by its digest, who took it and when; `is_old` if other waxes were on the base then."""

    key: str
    at: datetime
    by: str
    is_old: bool


def base_photo_of(notes: Notes, label: str, tags: Set[str]) -> BasePhotoLine | None:
    """Return the photo of the base of a flask that holds these waxes; None if nobody took one."""
    noted = notes.get((Tick.PHOTO, label))
    if noted is None:
        return None
    return BasePhotoLine(noted.figures["photo"], noted.at, noted.by, set(noted.figures["tags"]) != set(tags))


def photo_of(notes: Notes, flask: FlaskSheet) -> BasePhotoLine | None:
    """Return the photo of the base of a flask of the plan that is shown."""
    return base_photo_of(notes, flask.label, {one.wax.key for one in flask.waxes})
