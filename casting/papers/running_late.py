"""Which printed papers tell times that the day no longer keeps."""

from __future__ import annotations

from casting.models import PaperPrinted, Plan
from casting.papers.registry import PAPERS


def out_of_time(plan: Plan) -> list[str]:
    """Return the titles of the papers in people's hands that say when flasks are poured. One query."""
    printed = PaperPrinted.objects.filter(day=plan.day, revision__isnull=False)
    keys = set(printed.values_list("key", flat=True).order_by().distinct())
    return [str(paper.title) for paper in PAPERS if paper.key in keys and "out_at" in paper.figures]
