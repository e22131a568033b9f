"""The weigh-out list for the metal safe: a bag a flask, by metal, the school's apart from a student's own."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.template.loader import render_to_string

from casting.calc.quantities.alloy import main_element
from casting.calc.values.day_input import Alloy
from casting.dayfile.rules_file import rulebook
from casting.papers.print_job import PlanPrintJob
from casting.presenters.plan_sheet import FlaskSheet, PlanSheet

PUBLISHED_FOR = {"Ag", "Au"}
WHOLE_FLASKS = 8
"""The most flasks of a metal that is never parted by the end of a sheet; of more, a part names the metal again."""


@dataclass(frozen=True, slots=True)
class Bags:
    """The bags of one metal that come from one place: the school's safe, or a student."""

    owner: str | None
    flasks: tuple[FlaskSheet, ...]

    @property
    def to_weigh(self) -> tuple[FlaskSheet, ...]:
        """Those that are still to be poured."""
        return tuple(flask for flask in self.flasks if flask.to_pour)

    @property
    def poured(self) -> tuple[FlaskSheet, ...]:
        """Those that are poured."""
        return tuple(flask for flask in self.flasks if flask.poured)

    @property
    def poured_labels(self) -> list[str]:
        """Their letters."""
        return [flask.label for flask in self.poured]

    @property
    def poured_g(self) -> float:
        """What they took."""
        return math.fsum(flask.charge_g for flask in self.poured)

    @property
    def charge_g(self) -> float:
        """All bags that are still to be weighed out, together."""
        return math.fsum(flask.charge_g for flask in self.to_weigh)

    @property
    def rows(self) -> list[tuple[FlaskSheet, float]]:
        """Each flask with the fresh metal that it takes at least."""
        return [(flask, fresh_at_least(flask.charge_g)) for flask in self.flasks]

    @property
    def fresh_g(self) -> float:
        """The fresh metal at least of all bags that are still to be weighed out."""
        return math.fsum(fresh_g for flask, fresh_g in self.rows if flask.to_pour)


@dataclass(frozen=True, slots=True)
class MetalList:
    """One metal with its bags."""

    alloy: Alloy
    bags: tuple[Bags, ...]

    @property
    def school(self) -> Bags | None:
        """The bags from the school's safe, if there are any: they come first."""
        return self.bags[0] if self.bags[0].owner is None else None

    @property
    def own_g(self) -> float:
        """What is still to be weighed out of the metal that students bring."""
        return math.fsum(bags.charge_g for bags in self.bags if bags.owner is not None)

    @property
    def is_long(self) -> bool:
        """True if it may not fit on one sheet, so that it may begin on any."""
        return sum(len(bags.flasks) for bags in self.bags) > WHOLE_FLASKS

    @property
    def published(self) -> bool:
        """True if what is published of fresh metal speaks of this one: most of it is silver or gold."""
        return self._main in PUBLISHED_FOR

    @property
    def is_copper(self) -> bool:
        """True if most of it is copper, as in bronze."""
        return self._main == "Cu"

    @property
    def _main(self) -> str:
        """The element of which it has most, as far as is recorded; empty if nothing is."""
        return main_element(self.alloy.composition_pct)


def fresh_at_least(charge_g: float) -> float:
    """Return the least fresh metal of a charge, up to the next 0.1 g."""
    return math.ceil(charge_g * rulebook().limit("fresh_least_pct") / 10 - 1e-9) / 10


def metals_of(sheet: PlanSheet) -> list[MetalList]:
    """Return each metal of the plan with its bags in the order of pours, the school's before any student's own."""
    lists = []
    for key in sheet.totals["charge_g"]:
        flasks = [flask for flask in sheet.flasks if flask.alloy.key == key]
        if not flasks:
            continue
        owners = dict.fromkeys(sorted((_owner(flask) for flask in flasks), key=lambda owner: (owner != "", owner)))
        bags = []
        for owner in owners:
            theirs = tuple(flask for flask in flasks if _owner(flask) == owner)
            bags.append(Bags(theirs[0].owner, theirs))
        lists.append(MetalList(sheet.day.alloys[key], tuple(bags)))
    return lists


def _owner(flask: FlaskSheet) -> str:
    """Whose metal it is in the day file's words, so that two of one name stay two; nothing for the school's."""
    return "" if flask.owner is None else flask.waxes[0].wax.owner


def weigh_out_html(job: PlanPrintJob) -> str | None:
    """Return the page of the weigh-out list; None if no metal is poured."""
    opened = job.opened
    metals = metals_of(opened.sheet)
    if not metals:
        return None
    context = job.context() | {
        "metals": metals,
        "fresh_pct": rulebook().limit("fresh_least_pct"),
    }
    return render_to_string("papers/weigh_out.html", context)
