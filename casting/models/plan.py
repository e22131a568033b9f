"""Models of plans, kept as day file and plan file, and of the steps that were done."""

from __future__ import annotations

import json
from typing import Any, Self

from django.db import models
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from casting.models.day import CastingDay
from casting.models.photo import Photo
from school.models import Person


class PlanQuerySet(models.QuerySet["Plan"]):
    """Queries for plans."""

    def of(self, person: Person) -> Self:
        """Return the plans of the person's school."""
        return self.filter(day__course__school_id=person.school_id)

    def latest_of(self, day: CastingDay) -> Plan | None:
        """Return the latest plan of a day; None before the first."""
        plan = self.filter(day=day).order_by("-revision").first()
        if plan is not None:
            plan.day = day
        return plan


class Plan(models.Model):
    """One revision of a day's plan: its day file and its plan file, never changed."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="plans")
    revision = models.PositiveIntegerField(_("revision"))
    day_file = models.TextField(_("day file"))
    plan_file = models.TextField(_("plan file"))
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(_("made at"), auto_now_add=True)

    objects = PlanQuerySet.as_manager()

    class Meta:
        verbose_name = _("plan")
        verbose_name_plural = _("plans")
        ordering = ("-revision",)
        constraints = (models.UniqueConstraint(fields=("day", "revision"), name="plan_revision_once_per_day"),)

    def __str__(self) -> str:
        return f"plan {self.revision}"

    @cached_property
    def file(self) -> dict[str, Any]:
        """The plan file as JSON values, parsed once."""
        plan: dict[str, Any] = json.loads(self.plan_file)
        return plan

    @cached_property
    def day_values(self) -> dict[str, Any]:
        """The day file that the plan was made from as JSON values, parsed once and not checked."""
        day: dict[str, Any] = json.loads(self.day_file)
        return day


class StepRecord(models.Model):
    """A step that was done. `what` is a flask's label, a kiln's key or a wax's tag, `who` a name that was typed.

    `figures` are what was weighed or read at it, weights in g as text with their digits.
    """

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="steps_done")
    do = models.CharField(_("step"), max_length=20)
    what = models.CharField(_("flask or kiln"), max_length=40, blank=True)
    done_at = models.DateTimeField(_("done at"))
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    who = models.CharField(_("who did it"), max_length=80, blank=True)
    figures = models.JSONField(_("what was weighed or read"), default=dict, blank=True)

    class Meta:
        verbose_name = _("step done")
        verbose_name_plural = _("steps done")
        constraints = (models.UniqueConstraint(fields=("day", "do", "what"), name="step_done_once_per_day"),)

    def __str__(self) -> str:
        return f"{self.do} {self.what}".strip()


class BasePhoto(Photo):
    """A photo of a finished base before it was invested; who took it and when, and its waxes, its step says."""

    step = models.OneToOneField(StepRecord, on_delete=models.CASCADE, related_name="photo")

    class Meta:
        verbose_name = _("photo of a base")
        verbose_name_plural = _("photos of bases")

    def __str__(self) -> str:
        return f"photo of base {self.step_id}"


class KilnReading(models.Model):
    """What a kiln read at a time, in degrees C; one that was a slip is taken away, and its change stays."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="kiln_readings")
    kiln = models.CharField(_("kiln"), max_length=40)
    at = models.DateTimeField(_("when"))
    celsius = models.DecimalField(_("read, C"), max_digits=6, decimal_places=1)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        verbose_name = _("reading of a kiln")
        verbose_name_plural = _("readings of kilns")
        ordering = ("kiln", "at")
        constraints = (models.UniqueConstraint(fields=("day", "kiln", "at"), name="kiln_read_once_at_a_time"),)

    def __str__(self) -> str:
        return f"{self.kiln} {self.celsius}"
