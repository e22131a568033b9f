"""What went wrong with a flask on the day, and its pieces that are looked at or cast again."""

from __future__ import annotations

from typing import Self

from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.values import mishap
from casting.models.day import CastingDay, Wax
from school.models import Person


class FlaskMishap(models.Model):
    """One thing that went wrong with a flask, and what is left of it; taken back, it goes, and its change stays.

    `poured` tells that the flask was noted as poured with it.
    """

    class Kind(models.TextChoices):
        """What went wrong."""

        LEAKED = mishap.Mishap.LEAKED.value, _("leaked")
        CRACKED = mishap.Mishap.CRACKED.value, _("cracked")
        BLOWN_OUT = mishap.Mishap.BLOWN_OUT.value, _("blown out")
        FROZEN = mishap.Mishap.FROZEN.value, _("frozen in the cup")
        LATE = mishap.Mishap.LATE.value, _("late")
        POWER = mishap.Mishap.POWER.value, _("power cut")
        MISRUN = mishap.Mishap.MISRUN.value, _("misrun")

    class Left(models.TextChoices):
        """What is left of it."""

        METAL = mishap.Left.METAL.value, _("metal is in it")
        NONE = mishap.Left.NONE.value, _("nothing is in it")
        UNPOURED = mishap.Left.UNPOURED.value, _("not poured")
        HOT = mishap.Left.HOT.value, _("it stayed hot enough")
        COLD = mishap.Left.COLD.value, _("it fell too far, or nobody knows")
        LATE_10 = mishap.Left.LATE_10.value, _("10 min late")
        LATE_20 = mishap.Left.LATE_20.value, _("20 min late")
        LATE_40 = mishap.Left.LATE_40.value, _("40 min late")

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="mishaps")
    label = models.CharField(_("flask"), max_length=3)
    kind = models.CharField(_("what went wrong"), max_length=9, choices=Kind.choices)
    left = models.CharField(_("what is left"), max_length=8, choices=Left.choices)
    at = models.DateTimeField(_("when"))
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    poured = models.BooleanField(_("noted as poured with it"), default=False)

    class Meta:
        verbose_name = _("mishap of a flask")
        verbose_name_plural = _("mishaps of flasks")
        ordering = ("at", "pk")
        constraints = (models.UniqueConstraint(fields=("day", "label", "kind"), name="mishap_once_per_flask"),)

    def __str__(self) -> str:
        return f"{self.label} {self.kind}"


class RecastQuerySet(models.QuerySet["Recast"]):
    """Queries for pieces of flasks with which something went wrong."""

    def of(self, person: Person) -> Self:
        """Return those of the person's school."""
        return self.filter(wax__day__course__school_id=person.school_id)

    def in_turn(self) -> Self:
        """Return them with the rows that a page shows, whoever has waited longest first."""
        joined = ("wax__student__school", "wax__alloy", "wax__day__course__school", "mishap", "by", "next_day__course")
        return self.select_related(*joined).order_by("at", "wax__tag", "pk")


class Recast(models.Model):
    """A piece that may be cast again: what becomes of it, on which day, and who pays for the first.

    `next_day` is the day on which a place is kept for a new wax; no wax is made for it, because nobody has weighed one.
    """

    class Fate(models.TextChoices):
        """What becomes of it."""

        LOOK = mishap.Fate.LOOK.value, _("to be looked at")
        AGAIN = mishap.Fate.AGAIN.value, _("to be cast again")
        USABLE = mishap.Fate.USABLE.value, _("will do")

    class Pays(models.TextChoices):
        """Who pays for the first casting; blank is not decided."""

        SCHOOL = "school", _("the school")
        STUDENT = "student", _("the student")

    wax = models.OneToOneField(Wax, on_delete=models.CASCADE, related_name="recast")
    mishap = models.ForeignKey(FlaskMishap, on_delete=models.SET_NULL, null=True, blank=True, related_name="pieces")
    fate = models.CharField(_("what becomes of it"), max_length=6, choices=Fate.choices)
    at = models.DateTimeField(_("since"))
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    next_day = models.ForeignKey(CastingDay, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    pays = models.CharField(_("who pays for the first"), max_length=7, choices=Pays.choices, blank=True)
    version = models.PositiveIntegerField(_("version"), default=1)

    objects = RecastQuerySet.as_manager()

    class Meta:
        verbose_name = _("piece to be cast again")
        verbose_name_plural = _("pieces to be cast again")
        ordering = ("at", "pk")

    def __str__(self) -> str:
        return f"{self.wax_id} {self.fate}"
