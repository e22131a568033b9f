"""A school: the tenant that every other row belongs to, its clock and its units."""

from __future__ import annotations

import zoneinfo

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.names import MAX_CHARACTERS

MAX_ELEVATION_M = 5500
MIN_ELEVATION_M = -430


def validate_zone(name: str) -> None:
    """Raise `ValidationError` unless the time zone exists."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError(_("%(name)s is not a time zone such as America/Denver."), params={"name": name})


def validate_currency(code: str) -> None:
    """Raise `ValidationError` unless the code has the form of ISO 4217."""
    if not (len(code) == 3 and code.isascii() and code.isupper() and code.isalpha()):
        raise ValidationError(_("%(code)s is not the code of a currency such as USD or EUR."), params={"code": code})


class WeightUnit(models.TextChoices):
    """The unit in which a school weighs."""

    GRAM = "g", _("grams")
    PENNYWEIGHT = "dwt", _("pennyweight")
    TROY_OUNCE = "ozt", _("troy ounces")


class TemperatureUnit(models.TextChoices):
    """The scale of a school's thermometers."""

    CELSIUS = "C", _("degrees Celsius")
    FAHRENHEIT = "F", _("degrees Fahrenheit")


class LengthUnit(models.TextChoices):
    """The unit of a school's rulers and flasks."""

    MILLIMETRE = "mm", _("millimetres")
    INCH = "in", _("inches")


class Paper(models.TextChoices):
    """The size of a school's paper."""

    A4 = "A4", _("A4")
    LETTER = "Letter", _("US Letter")


class School(models.Model):
    """A tenant: every other row belongs to a school, and nobody sees another school's rows."""

    slug = models.SlugField(_("short name"), max_length=60)
    name = models.CharField(_("name"), max_length=120)
    town = models.CharField(_("town"), max_length=120, blank=True)
    zone = models.CharField(_("time zone"), max_length=60, default="UTC", validators=[validate_zone])
    # Blank is unknown, not sea level: water boils at less than 100 C in a high town, and the checks say so.
    elevation_m = models.IntegerField(_("height above the sea in metres"), null=True, blank=True)
    weight_unit = models.CharField(_("weights in"), max_length=3, choices=WeightUnit, default=WeightUnit.GRAM)
    temperature_unit = models.CharField(
        _("temperatures in"), max_length=1, choices=TemperatureUnit, default=TemperatureUnit.CELSIUS
    )
    length_unit = models.CharField(_("lengths in"), max_length=2, choices=LengthUnit, default=LengthUnit.MILLIMETRE)
    paper = models.CharField(_("paper"), max_length=6, choices=Paper, default=Paper.A4)
    # Three letters of ISO 4217; blank is unknown, and then costs are shown without a currency.
    currency = models.CharField(_("prices in"), max_length=3, blank=True, default="", validators=[validate_currency])
    # What a new casting day begins with where no day before says otherwise.
    opens = models.TimeField(_("usually open from"), null=True, blank=True)
    closes = models.TimeField(_("usually open until"), null=True, blank=True)
    on_call = models.CharField(_("usually on call in the kiln night"), max_length=120, blank=True, default="")
    # Set by `manage.py demo` alone: its people are invented and can be visited on this machine only.
    is_demo = models.BooleanField(_("demo"), default=False, editable=False)
    created = models.DateTimeField(default=timezone.now, editable=False)
    # Counts the savings of the school's page: the second of two teachers to save sees what the first changed.
    version = models.PositiveIntegerField(default=1, editable=False)
    # A name and not a row: it stays when the person has left.
    changed_by = models.CharField(max_length=MAX_CHARACTERS, blank=True, default="", editable=False)
    changed_at = models.DateTimeField(null=True, editable=False)
    # The steps of the set-up that somebody has looked at, and when it was finished or put away.
    set_up_steps = models.JSONField(default=list, editable=False)
    set_up_ended_at = models.DateTimeField(null=True, editable=False)

    known_by = ""
    """The mark that this row is kept under in the process, and then nobody changes it; empty for one just read."""

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["slug"], name="school_slug_once"),
            models.CheckConstraint(condition=Q(weight_unit__in=WeightUnit.values), name="school_weight_unit"),
            models.CheckConstraint(
                condition=Q(temperature_unit__in=TemperatureUnit.values), name="school_temperature_unit"
            ),
            models.CheckConstraint(condition=Q(length_unit__in=LengthUnit.values), name="school_length_unit"),
            models.CheckConstraint(condition=Q(paper__in=Paper.values), name="school_paper"),
            models.CheckConstraint(
                condition=Q(elevation_m__isnull=True)
                | Q(elevation_m__gte=MIN_ELEVATION_M, elevation_m__lte=MAX_ELEVATION_M),
                name="school_elevation_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> zoneinfo.ZoneInfo:
        """The school's time zone."""
        return zoneinfo.ZoneInfo(self.zone)


class SchoolMark(models.Model):
    """What is kept of a school is known by its mark: triggers of the database give it another after every change.

    What they watch stands in `migrations/_mark.py`, here and in casting.
    """

    school = models.OneToOneField(School, models.CASCADE, primary_key=True, related_name="mark")
    mark = models.CharField(max_length=40)

    def __str__(self) -> str:
        return self.mark
