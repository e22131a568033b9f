"""The way through a casting day: the line on top of every page of the desk."""

from __future__ import annotations

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan

Stop = tuple[str, str | None, str]


def way_of(day: CastingDay, here: str, plan: Plan | None = None) -> list[Stop]:
    """Each page of the day: its name, its address (None while it is not to be had), its state.

    `here` is the URL name of the page that is shown; pages that show a plan need one.
    """
    planned = plan is not None or day.plans.exists()
    pages = [
        ("waxes", _("Waxes"), True),
        ("flasks", _("Flasks"), planned),
        ("day_plan", _("Day plan"), planned),
        ("papers", _("Papers"), True),
    ]
    return [
        (label, _address(name, day) if ready else None, "here" if name == here else "") for name, label, ready in pages
    ]


def _address(name: str, day: CastingDay) -> str | None:
    try:
        return reverse(name, args=[day.pk])
    except NoReverseMatch:
        return None
