"""A slip for each student: the own waxes and nobody else's, several to a sheet, to be cut apart."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from django.template.loader import render_to_string

from casting.models import Plan
from casting.papers.print_job import PlanPrintJob
from casting.papers.sheets.flask_cards import hour_of
from casting.presenters.formats import rounded
from casting.presenters.plan_sheet import FlaskSheet, LeftOutLine, PlanSheet, WaxOnBase


@dataclass(frozen=True, slots=True)
class SlipWax:
    """A student's wax with its flask."""

    on_base: WaxOnBase
    flask: FlaskSheet
    price_per_g: float | None

    @property
    def own_metal(self) -> bool:
        """True if the student brought the metal."""
        return self.flask.owner is not None

    @property
    def metals_g(self) -> list[float]:
        """Its metal, the button not counted."""
        return [self.on_base.metal_g]

    @property
    def cost(self) -> float | None:
        """What the metal of the wax costs to the hundredth, no button counted; None if nobody recorded a price."""
        if self.price_per_g is None:
            return None
        # Rounded here, as each line is printed, so that the lines of a slip add up to what it says together.
        return float(rounded(Decimal(repr(self.on_base.metal_g)) * Decimal(repr(self.price_per_g))))

    @property
    def where(self) -> str:
        """Where it stands, seen from the wax side with the notch at 12 o'clock."""
        return hour_of(self.on_base.place)


@dataclass(slots=True)
class Slip:
    """What one student is told."""

    called: str
    waxes: list[SlipWax] = field(default_factory=list)
    left_out: list[LeftOutLine] = field(default_factory=list)

    @property
    def metals_g(self) -> list[float]:
        """The metal of each of their waxes, buttons not counted."""
        return [wax.on_base.metal_g for wax in self.waxes]

    @property
    def has_cost(self) -> bool:
        """True if a cost stands on it."""
        return any(wax.cost is not None and not wax.own_metal for wax in self.waxes)

    @property
    def cost(self) -> float | None:
        """What the school's metal in them costs; None if a price is missing or none of it is the school's."""
        costs = [wax.cost for wax in self.waxes if not wax.own_metal]
        known = [cost for cost in costs if cost is not None]
        return math.fsum(known) if costs and len(known) == len(costs) else None


def prices_of(plan: Plan) -> dict[str, float | None]:
    """Return the price per gram of each metal, as recorded in the day file."""
    return {alloy["key"]: alloy.get("price_per_g") for alloy in plan.day_values.get("alloys", [])}


def slips_of(sheet: PlanSheet, prices: Mapping[str, float | None]) -> list[Slip]:
    """Return a slip for each student with a wax in the plan, by name."""
    by_student: dict[str, Slip] = {}
    of_day = {wax.key: wax for wax in sheet.day.waxes}

    def slip(key: str, called: str) -> Slip:
        # A student without a name in the file is told apart by the wax.
        return by_student.setdefault(of_day[key].student or f"wax {key}", Slip(called))

    for flask in sheet.flasks:
        for on_base in flask.waxes:
            slip(on_base.wax.key, on_base.name.student).waxes.append(
                SlipWax(on_base, flask, prices.get(flask.alloy.key))
            )
    for line in sheet.left_out:
        slip(line.key, line.name.student).left_out.append(line)
    for one in by_student.values():
        one.waxes.sort(key=lambda wax: wax.on_base.wax.key)
    return [one for _key, one in sorted(by_student.items(), key=lambda item: (item[1].called.casefold(), item[0]))]


def slips_html(job: PlanPrintJob) -> str | None:
    """Return the page of the slips; None if no wax is in the plan."""
    opened = job.opened
    slips = slips_of(opened.sheet, prices_of(opened.plan))
    if not slips:
        return None
    context = job.context() | {
        "slips": slips,
    }
    return render_to_string("papers/slips.html", context)
