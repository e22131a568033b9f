"""A bowl that spilled before its flasks were filled: what is mixed anew, by when, and what the mix sheet then says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from casting.calc.values.day_plan import Spill
from casting.calc.values.enums import Do
from casting.dayfile.times import show_at
from casting.presenters.formats import day_clock, decimals, plain
from casting.presenters.plan_sheet import PlanSheet


@dataclass(frozen=True, slots=True)
class Spilled:
    """The bowl of a flask mixed anew: for which flasks, what is fetched for it, and the times that it moves.

    `by` is the latest that it can be mixed so that its flasks set before `next_at`, when the first of them is loaded;
    both None if the plan has no such step. `noted` is when a bowl of its flasks was noted to have spilled.
    """

    flasks: tuple[str, ...]
    powder_g: int
    water_g: float
    working_min: float
    planned_at: datetime | None
    by: datetime | None
    next_at: datetime | None
    noted: tuple[datetime, ...] = ()


def spilled_of(sheet: PlanSheet, label: str) -> Spilled | None:
    """Return the bowl of a flask mixed anew; None once the flask is invested, as its bowl is then empty."""
    bowl = next((one for one in sheet.bowls if label in one.flasks), None)
    if bowl is None or label in bowl.invested:
        return None
    flasks = {flask.label: flask for flask in sheet.flasks}
    waits = tuple(one for one in bowl.flasks if one not in bowl.invested)
    powder_g = bowl.powder_g - sum(flasks[one].powder_g for one in bowl.invested)
    water_g = round(bowl.water_g - sum(flasks[one].water_g for one in bowl.invested), 1)
    next_at = _next_after_setting(sheet, waits)
    by = None
    if next_at is not None and bowl.at is not None and bowl.until is not None:
        by = next_at - timedelta(minutes=sheet.day.investment.set_min) - (bowl.until - bowl.at)
    return Spilled(
        waits,
        powder_g,
        water_g,
        sheet.day.working_min,
        bowl.at,
        by,
        next_at,
        tuple(_at(one, sheet) for one in sheet.day.spilled if set(one.flasks) & set(waits)),
    )


def spill_lines(sheet: PlanSheet) -> list[str]:
    """Return what spilled on the day, a sentence for each bowl: its powder and water are gone beside the plan's."""
    sentence = _("Spilled at %(at)s: the bowl of %(flasks)s, %(powder)s g powder and %(water)s g water. Mixed anew.")
    return [
        sentence
        % {
            "at": day_clock(_at(one, sheet)),
            "flasks": ", ".join(one.flasks),
            "powder": plain(one.powder_g),
            "water": decimals(one.water_g, 1),
        }
        for one in sheet.day.spilled
    ]


def _at(spill: Spill, sheet: PlanSheet) -> datetime:
    return show_at(sheet.pour_at, spill.at, sheet.zone)


def _next_after_setting(sheet: PlanSheet, labels: Sequence[str]) -> datetime | None:
    """When the first of these flasks has to have set: it is loaded, or its kiln goes on."""
    kilns = {flask.kiln for flask in sheet.flasks if flask.label in labels}
    loads = [step.at for step in sheet.steps if step.do is Do.LOAD and set(labels) & set(step.flasks)]
    on = [step.at for step in sheet.steps if step.do is Do.KILN_ON and step.kiln in kilns]
    return min(loads or on, default=None)
