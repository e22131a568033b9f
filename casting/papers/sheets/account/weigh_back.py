"""The weigh-back sheet: a box for each casting of a flask, its button, sprues and sweeps, and what is lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.template.loader import render_to_string

from casting.calc.quantities.account.balance import loss_most_pct
from casting.calc.quantities.alloy import main_element
from casting.calc.values.day_input import Alloy
from casting.dayfile.rules_file import rulebook
from casting.papers.print_job import PlanPrintJob
from casting.presenters.plan_sheet import FlaskSheet, PlanSheet


@dataclass(frozen=True, slots=True)
class MetalBack:
    """A metal with its flasks in the order of pours."""

    alloy: Alloy
    flasks: Sequence[FlaskSheet]

    @property
    def loss_most_pct(self) -> float:
        """The loss of a flask above which its metal is looked for."""
        return float(loss_most_pct(self.alloy.composition_pct, rulebook()))

    @property
    def is_copper(self) -> bool:
        """True if most of it is copper, as in bronze, or nobody knows."""
        return main_element(self.alloy.composition_pct) in ("Cu", "")


def metals_back(sheet: PlanSheet) -> list[MetalBack]:
    """Return each metal of the plan with its flasks."""
    keys = dict.fromkeys(flask.alloy.key for flask in sheet.flasks)
    return [MetalBack(sheet.day.alloys[key], [one for one in sheet.flasks if one.alloy.key == key]) for key in keys]


def weigh_back_html(job: PlanPrintJob) -> str | None:
    """Return the page of the weigh-back sheet; None if no metal is poured."""
    metals = metals_back(job.opened.sheet)
    if not metals:
        return None
    context = job.context() | {"metals": metals}
    return render_to_string("papers/account/weigh_back.html", context)
