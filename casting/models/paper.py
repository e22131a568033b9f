"""Model of printed papers: which paper of a day was printed, when, by whom and from what."""

from __future__ import annotations

from collections import defaultdict

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from school.models import Person


class PaperPrintedQuerySet(models.QuerySet["PaperPrinted"]):
    """Queries for printed papers."""

    def of_day(self, day: CastingDay) -> dict[str, list[PaperPrinted]]:
        """Return the prints of the day by the paper's key, oldest first; one query."""
        prints = defaultdict(list)
        for row in self.filter(day=day).select_related("by").order_by("pk"):
            prints[row.key].append(row)
        return prints


class PaperPrinted(models.Model):
    """A print of a paper; without a revision if it was made from the day and not from a plan.

    `parts` are the fingerprints of what it was made from (`papers/fingerprints.py`).
    """

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="papers_printed")
    key = models.CharField(_("paper"), max_length=40)
    revision = models.PositiveIntegerField(_("revision"), null=True)
    parts = models.JSONField(_("what it was made of"), default=dict)
    at = models.DateTimeField(_("printed at"), default=timezone.now)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    objects = PaperPrintedQuerySet.as_manager()

    class Meta:
        verbose_name = _("paper printed")
        verbose_name_plural = _("papers printed")
        ordering = ("-pk",)
        indexes = (models.Index(fields=["day", "key"], name="paper_printed_by_day"),)

    def __str__(self) -> str:
        return self.key if self.revision is None else f"{self.key} {self.revision}"
