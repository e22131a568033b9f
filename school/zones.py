"""Time zones as people pick and write them."""

from __future__ import annotations

import zoneinfo
from functools import cache

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

REGIONS = ("Africa", "America", "Antarctica", "Arctic", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")
MOST_MEANT = 3


@cache
def zones() -> tuple[str, ...]:
    """Return the time zones that are named after a place, and UTC."""
    return (*sorted(name for name in zoneinfo.available_timezones() if name.split("/")[0] in REGIONS), "UTC")


@cache
def _by_key() -> dict[str, str]:
    """Every zone there is, by its name in small letters; those named after a place first."""
    return {_key(name): name for name in (*sorted(zoneinfo.available_timezones()), *zones())}


def _key(text: str) -> str:
    return "_".join(text.split()).casefold()


def read_zone(text: str) -> str:
    """Return the zone of that name, in any case and with spaces or underscores.

    Raises `ValidationError` with what was written and the zones that may be meant: a city alone names no zone, and
    no zone is guessed.
    """
    found = _by_key().get(_key(text))
    if found:
        return found
    words = {"name": text.strip(), "meant": _(" or ").join(_meant(text))}
    if words["meant"]:
        sentence = _("“%(name)s” is not the whole name of a time zone. Do you mean %(meant)s? Write it like that.")
    else:
        sentence = _("“%(name)s” is not a time zone. Choose one from the list, such as America/Denver.")
    raise ValidationError(sentence, code="zone", params=words)


def _meant(text: str) -> list[str]:
    """The zones whose last part begins like the text."""
    key = _key(text)
    return [name for name in zones() if key and name.split("/")[-1].casefold().startswith(key)][:MOST_MEANT]
