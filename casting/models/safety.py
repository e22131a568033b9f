"""What a school has recorded of its room, people and kit, and which cautions a teacher has cleared for a day."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.cautions.school_record import SafetyRecord as Facts
from casting.models.day import CastingDay
from school.models import School

MELTERS = [("torch", _("torch")), ("electric", _("electric furnace")), ("induction", _("induction"))]
FUELS = [
    ("acetylene", _("acetylene")),
    ("lpg", _("propane or butane")),
    ("natural_gas", _("natural gas")),
    ("hydrogen", _("hydrogen")),
]
OF_THE_DAY = {"students"}
"""Facts that the class of a day gives, not the record."""

MOST = 999
"""No hour, second, age or head count of a class goes beyond it."""


def yes_no(label: Any) -> models.BooleanField[bool | None, bool | None]:
    """A fact that is yes, no or not recorded."""
    return models.BooleanField(label, null=True, blank=True)


def number(label: Any) -> models.PositiveSmallIntegerField[int | None, int | None]:
    """A whole number that may not be recorded."""
    return models.PositiveSmallIntegerField(label, null=True, blank=True, validators=[MaxValueValidator(MOST)])


class SafetyRecord(models.Model):
    """One a school. What is null is not recorded, and counts as the worse case."""

    school = models.OneToOneField(School, on_delete=models.CASCADE, related_name="safety_record")

    melt_extraction = yes_no(_("Is there a fume fan where metal is melted?"))
    kiln_extraction = yes_no(_("Is there a fan at the kiln?"))
    kiln_vent_outside = yes_no(_("Does the kiln's air go outside?"))
    people_near_kiln = yes_no(_("Are people in the kiln's room while it fires?"))
    co_alarm = yes_no(_("Is there a working carbon monoxide alarm at the kiln?"))
    over_temperature_cutoff = yes_no(_("Does the kiln cut off by itself when it gets too hot?"))
    hours_unattended = number(_("Hours the kiln runs with nobody there (0 if never)"))
    on_call = yes_no(_("While the kiln is alone: is a named person on call who can be there soon?"))
    clear_of_kiln = yes_no(_("While the kiln is alone: is everything that burns well away from it?"))
    top_heat_watched = yes_no(_("Is somebody there while the kiln is at its top heat?"))
    melter = models.CharField(_("What melts the metal?"), max_length=10, choices=MELTERS, null=True, blank=True)  # noqa: DJ001 (null is "not recorded")
    fuel = models.CharField(_("Which fuel has the torch?"), max_length=12, choices=FUELS, null=True, blank=True)  # noqa: DJ001
    oxygen = yes_no(_("Does the torch use oxygen?"))
    leak_test = yes_no(_("Is the torch leak-tested before every class?"))
    eyewash = yes_no(_("Is there an eyewash?"))
    eyewash_s = number(_("Seconds on foot from powder and pickle to the eyewash"))
    extinguisher = yes_no(_("Is there a serviced extinguisher?"))
    first_aider = yes_no(_("Is a first-aider there who does not pour?"))
    data_sheets = yes_no(_("Is the safety data sheet of every powder, metal and liquid at hand?"))
    solvents = yes_no(_("Are solvents or lighter fluid on the site?"))
    pickle = yes_no(_("Is pickle used?"))
    bell_jar = yes_no(_("Is a bell jar used?"))
    steam_dewax = yes_no(_("Is wax steamed or boiled out?"))
    lamp = yes_no(_("Is an alcohol lamp used?"))
    outdoors = yes_no(_("Is metal poured outdoors?"))
    unknown_metal = yes_no(_("Is plated, costume or unknown metal melted?"))
    asbestos = yes_no(_("Are there old white heat pads that may be asbestos?"))
    old_fibre = yes_no(_("Is there old kiln wool or a fibre liner?"))
    adults = number(_("Adults in the room while metal is hot"))
    students_per_adult = number(_("The school's most students for one adult"))
    youngest_age = number(_("Age of the youngest student"))
    mixes_from_age = number(_("From what age may a student mix powder?"))
    hot_work_from_age = number(_("From what age may a student melt, pour and quench?"))

    tap_for_burns = models.CharField(_("Cool running water for burns"), max_length=120, blank=True)
    eyewash_where = models.CharField(_("Eyewash"), max_length=120, blank=True)
    extinguisher_where = models.CharField(_("Extinguisher and fire blanket"), max_length=120, blank=True)
    exits = models.CharField(_("Ways out and meeting place"), max_length=120, blank=True)
    emergency_number = models.CharField(_("Emergency number and the address to say"), max_length=160, blank=True)
    contact = models.CharField(_("Whom to call at the school"), max_length=120, blank=True)

    class Meta:
        verbose_name = _("safety record")
        verbose_name_plural = _("safety records")

    def __str__(self) -> str:
        return f"safety record of {self.school_id}"

    def facts(self, students: int | None = None) -> Facts:
        """The record as values, with the number of students of a day."""
        known = {name: getattr(self, name) for name in FACT_NAMES}
        return Facts(**known, students=students)


FACT_NAMES = tuple(field.name for field in fields(Facts) if field.name not in OF_THE_DAY)
PLACE_NAMES = ("tap_for_burns", "eyewash_where", "extinguisher_where", "exits", "emergency_number", "contact")


class CautionCleared(models.Model):
    """A caution that a teacher has cleared for a day, in the words that stood there: other words need it anew."""

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="cautions_cleared")
    caution = models.CharField(_("caution"), max_length=40)
    text = models.TextField(_("its words"))
    by = models.CharField(_("name"), max_length=80)
    reason = models.CharField(_("reason"), max_length=200)
    at = models.DateTimeField(_("at"), auto_now_add=True)

    class Meta:
        verbose_name = _("caution cleared")
        verbose_name_plural = _("cautions cleared")
        constraints = (models.UniqueConstraint(fields=("day", "caution", "text"), name="caution_cleared_once_per_day"),)

    def __str__(self) -> str:
        return f"{self.caution} cleared by {self.by}"
