"""The mix sheet: bowl by bowl at the investing bench, with room for what really happened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.template.loader import render_to_string

from casting.calc.quantities.investment import powder_bare
from casting.calc.values.enums import Do
from casting.dayfile.rules_file import rulebook
from casting.papers.print_job import PlanPrintJob
from casting.presenters.lengths import length
from casting.presenters.plan_sheet import BowlLine, FlaskSheet, PlanSheet


@dataclass(frozen=True, slots=True)
class MixLine:
    """A bowl with the flasks that it fills, and when the last of them is set; None if the plan does not say."""

    bowl: BowlLine
    flasks: Sequence[FlaskSheet]
    set_until: datetime | None

    @property
    def by_flasks_g(self) -> int:
        """The powder of its flasks, each with its allowance."""
        return sum(flask.powder_g for flask in self.flasks)

    @property
    def bare_g(self) -> float:
        """The powder of its flasks without allowance; what sticks to the bowl is added to it."""
        return sum(powder_bare(flask.size, flask.investment) for flask in self.flasks)

    @property
    def for_the_bowl(self) -> bool:
        """True if what sticks to a bowl is more than the allowances."""
        return self.bowl.powder_g > self.by_flasks_g


def mixes_of(sheet: PlanSheet) -> list[MixLine]:
    """Return the bowls in the order they are mixed; those mixed before this plan come first."""
    set_at = {label: step.until for step in sheet.steps_of(Do.SET) for label in step.flasks}
    lines = []
    for bowl in sheet.bowls:
        ends = [set_at[label] for label in bowl.flasks if label in set_at]
        flasks = [sheet.flask(label) for label in bowl.flasks]
        lines.append(MixLine(bowl, flasks, max(ends, default=None)))
    return sorted(lines, key=lambda line: (line.bowl.at is not None, line.bowl.at or sheet.pour_at, line.bowl.flasks))


def mix_html(job: PlanPrintJob) -> str | None:
    """Return the page of the mix sheet; None if there is no bowl to mix."""
    opened = job.opened
    if not opened.sheet.bowls:
        return None
    solid = [one.size for one in opened.sheet.flasks if one.size.fill_mm is None]
    rims_mm = sorted({size.rim_mm for size in solid})
    context = job.context() | {
        "mixes": mixes_of(opened.sheet),
        "extra_g": opened.sheet.day.rules.bowl_extra_g,
        "investment": opened.sheet.day.investment,
        "rims": " / ".join(length(rim_mm, opened.units) for rim_mm in rims_mm),
        "holed": len(solid) < len(opened.sheet.flasks),
        "base_off_min": round(rulebook().limit("base_off_min")),
    }
    return render_to_string("papers/mix.html", context)
