"""A slip for each student: the own waxes and nobody else's, several to a sheet, to be cut apart."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from django.template.loader import render_to_string

from casting.papers.print_job import PlanPrintJob
from casting.presenters.piece_price import PiecePrices, on_the_bill
from casting.presenters.plan_sheet import LeftOutLine, PlanSheet
from casting.presenters.wax_in_flask import WaxInFlask, priced, prices_of


@dataclass(slots=True)
class Slip:
    """What one student is told."""

    called: str
    waxes: list[WaxInFlask] = field(default_factory=list)
    left_out: list[LeftOutLine] = field(default_factory=list)

    @property
    def metals_g(self) -> list[float]:
        """The metal of each of their waxes, buttons not counted."""
        return [wax.on_base.metal_g for wax in self.waxes]

    @property
    def has_cost(self) -> bool:
        """True if a cost stands on it."""
        return any(wax.price for wax in self.waxes)

    @property
    def cost(self) -> float | None:
        """What they cost together; None if a price is missing or there is nothing to pay."""
        if any(wax.price is None and not wax.own_metal for wax in self.waxes):
            return None
        costs = [wax.price.total for wax in self.waxes if wax.price]
        return math.fsum(costs) if costs else None


def slips_of(sheet: PlanSheet, prices: PiecePrices) -> list[Slip]:
    """Return a slip for each student with a wax in the plan, by name."""
    by_student: dict[str, Slip] = {}
    of_day = {wax.key: wax for wax in sheet.day.waxes}

    def slip(key: str, called: str) -> Slip:
        # A student without a name in the file is told apart by the wax.
        return by_student.setdefault(of_day[key].student or f"wax {key}", Slip(called))

    for flask in sheet.flasks:
        for on_base in flask.waxes:
            slip(on_base.wax.key, on_base.name.student).waxes.append(priced(on_base, flask, prices))
    for line in sheet.left_out:
        slip(line.key, line.name.student).left_out.append(line)
    for one in by_student.values():
        one.waxes.sort(key=lambda wax: wax.on_base.wax.key)
    return [one for _key, one in sorted(by_student.items(), key=lambda item: (item[1].called.casefold(), item[0]))]


def slips_html(job: PlanPrintJob) -> str | None:
    """Return the page of the slips; None if no wax is in the plan."""
    opened = job.opened
    prices = prices_of(opened.plan)
    slips = slips_of(opened.sheet, prices)
    if not slips:
        return None
    context = job.context() | {
        "slips": slips,
        "on_the_bill": on_the_bill(prices.of_bills, opened.school) if prices.of_bills else "",
    }
    return render_to_string("papers/slips.html", context)
