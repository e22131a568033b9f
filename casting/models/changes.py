"""Who changed a casting day or a school's safety record, when, and what stood there before and after."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from casting.models.safety import SafetyRecord
from school.models import Person


class Change(models.Model):
    """One change: by whom, when, and the values before (null of what was new) and after."""

    by_person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(_("when"), auto_now_add=True)
    before = models.JSONField(_("before"), null=True)
    after = models.JSONField(_("after"))

    class Meta:
        abstract = True
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"change {self.pk}"


class DayChange(Change):
    """One change of a casting day."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="changes")

    class Meta(Change.Meta):
        verbose_name = _("change of a casting day")
        verbose_name_plural = _("changes of casting days")


class BenchChange(Change):
    """One note of a step on the bench, its correction, or its taking back: then nothing stands after it."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="bench_changes")
    do = models.CharField(_("step"), max_length=20)
    what = models.CharField(_("flask, kiln or wax"), max_length=40, blank=True)
    after = models.JSONField(_("after"), null=True)

    class Meta(Change.Meta):
        verbose_name = _("change on the bench")
        verbose_name_plural = _("changes on the bench")


class SafetyChange(Change):
    """One change of a safety record: the answers that changed."""

    record = models.ForeignKey(SafetyRecord, on_delete=models.CASCADE, related_name="changes")

    class Meta(Change.Meta):
        verbose_name = _("change of a safety record")
        verbose_name_plural = _("changes of safety records")
