"""The numbered rubber bases of a school, each weighed once, so that a wax can be weighed standing on one."""

from __future__ import annotations

from typing import Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from school.models import Person, School


class RubberBaseQuerySet(models.QuerySet["RubberBase"]):
    """Queries for rubber bases."""

    def of(self, person: Person) -> Self:
        """Return the bases of the person's school."""
        return self.filter(school_id=person.school_id)


class RubberBase(models.Model):
    """One rubber base: the number written on it, and what it weighs alone, in g."""

    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="rubber_bases")
    number = models.CharField(_("number"), max_length=6)
    weight_g = models.DecimalField(_("weight, g"), max_digits=8, decimal_places=4)

    objects = RubberBaseQuerySet.as_manager()

    class Meta:
        verbose_name = _("rubber base")
        verbose_name_plural = _("rubber bases")
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("school", "number"), name="rubber_base_number_once_per_school"),
            models.CheckConstraint(condition=Q(weight_g__gt=0), name="rubber_base_weighs_something"),
        )

    def __str__(self) -> str:
        return self.number
