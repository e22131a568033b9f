"""Print jobs: all that a paper is made from, handed to it as one value."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from casting.models import CastingDay
from casting.papers.edition import Edition
from casting.papers.origin import address_of
from casting.presenters.opened_plan import OpenedPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintJob:
    """A paper of a day: its edition, and the origin of the site whose addresses it carries."""

    day: CastingDay
    edition: Edition = field(default_factory=Edition)
    origin: str = ""

    def address_of(self, path: str) -> str:
        """Return the whole address of one of our pages."""
        return address_of(path, self.origin)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPrintJob(PrintJob):
    """A paper of a day with a plan."""

    opened: OpenedPlan

    def context(self) -> dict[str, Any]:
        """Return what the template of every paper of a plan needs."""
        return {
            "opened": self.opened,
            "edition": self.edition,
            "outdated": self.opened.is_outdated,
            "sheet": self.opened.sheet,
            "units": self.opened.units,
            "school": self.opened.school,
        }
