"""Navigation through the pages of a casting day, and the context that those pages share."""

from __future__ import annotations

from typing import Any

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _

from casting.models import CastingDay, Plan
from casting.presenters.opened_plan import OpenedPlan

Stop = tuple[str, str | None, str]


def way_of(day: CastingDay, here: str, plan: Plan | None = None) -> list[Stop]:
    """Each page of the day: its name, its address (None while it is not to be had), its state.

    `here` is the URL name of the page that is shown; pages that show a plan need one.
    """
    planned = plan is not None or day.plans.exists()
    pages = [
        ("waxes", _("Waxes"), True),
        ("board", _("Board"), True),
        ("flasks", _("Flasks"), planned),
        ("day_plan", _("Day plan"), planned),
        ("mounting", _("Mounting"), planned),
        ("kiln_room", _("Kiln room"), planned),
        ("pours", _("Pours"), planned),
        ("papers", _("Papers"), True),
        ("metal_account", _("Metal account"), planned),
    ]
    return [
        (label, _address(name, day) if ready else None, "here" if name == here else "") for name, label, ready in pages
    ]


def day_context(day: CastingDay, plan: Plan | None, here: str) -> dict[str, Any]:
    """What the template of every page of a day needs; `here` as in `way_of`."""
    return {"day": day, "plan": plan, "way": way_of(day, here, plan)}


def plan_context(opened: OpenedPlan, here: str) -> dict[str, Any]:
    """What the template of every page that shows a plan needs; `here` as in `way_of`."""
    return day_context(opened.plan.day, opened.plan, here) | {
        "opened": opened,
        "sheet": opened.sheet,
        "units": opened.units,
        "cautions": opened.cautions,
        "held_back": opened.held_back,
    }


def _address(name: str, day: CastingDay) -> str | None:
    try:
        return reverse(name, args=[day.pk])
    except NoReverseMatch:
        return None
