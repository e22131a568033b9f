"""What was printed of a day: which paper, of which revision, when and by whom."""

from __future__ import annotations

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from school.models import Person


class PaperPrintedQuerySet(models.QuerySet["PaperPrinted"]):
    """Prints of papers."""

    def last_of(self, day: CastingDay) -> dict[str, PaperPrinted]:
        """The last print of each paper of the day, by the paper's key. One query."""
        rows = self.filter(day=day).select_related("by").order_by("pk")
        return {row.key: row for row in rows}


class PaperPrinted(models.Model):
    """A paper as it left the printer; `outdated` if the waxes had changed since its plan by then."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="papers_printed")
    key = models.CharField(_("paper"), max_length=40)
    revision = models.PositiveIntegerField(_("revision"))
    sha256 = models.CharField(_("hash of the page"), max_length=64)
    outdated = models.BooleanField(_("waxes had changed since the plan"), default=False)
    at = models.DateTimeField(_("printed at"), default=timezone.now)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    objects = PaperPrintedQuerySet.as_manager()

    class Meta:
        verbose_name = _("paper printed")
        verbose_name_plural = _("papers printed")
        ordering = ("-pk",)
        indexes = (models.Index(fields=["day", "key"], name="paper_printed_by_day"),)

    def __str__(self) -> str:
        return f"{self.key} {self.revision}"
