"""What a school records of its room, people and kit, and the cautions that a teacher clears for a day."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from casting.calc.cautions.school_record import FACTS
from casting.calc.cautions.school_record import SafetyRecord as Facts
from casting.calc.quantities.vacuum import MBAR_IN
from casting.models.day import CastingDay
from school.models import School

LEAST_READING = 0.001
MOST_AIR_MBAR = 1100.0
"""The air presses less than that everywhere on land: about 1085 mbar is the highest ever noted (from memory)."""

MOST = 999
"""The most hours, seconds, years or people that an answer may have."""


def yes_no(name: str) -> models.BooleanField[bool | None, bool | None]:
    """The column of a fact that is yes, no or not recorded."""
    return models.BooleanField(_(FACTS[name].question), null=True, blank=True)


def number(name: str) -> models.PositiveSmallIntegerField[int | None, int | None]:
    """The column of a fact that is a whole number or not recorded."""
    validators = [MaxValueValidator(MOST)]
    return models.PositiveSmallIntegerField(_(FACTS[name].question), null=True, blank=True, validators=validators)


def reading(name: str) -> models.FloatField[float | None, float | None]:
    """The column of a fact that is read from a dial or not recorded: above 0."""
    validators = [MinValueValidator(LEAST_READING)]
    return models.FloatField(_(FACTS[name].question), null=True, blank=True, validators=validators)


def choice(name: str, max_length: int) -> models.CharField[str | None, str | None]:
    """The column of a fact that is one of its choices or not recorded."""
    choices = [(key, _(words)) for key, words in FACTS[name].choices]
    return models.CharField(_(FACTS[name].question), max_length=max_length, choices=choices, null=True, blank=True)


class SafetyRecord(models.Model):
    """The record of one school. Null is "not recorded", and counts as the worse case."""

    school = models.OneToOneField(School, on_delete=models.CASCADE, related_name="safety_record")

    melt_extraction = yes_no("melt_extraction")
    kiln_extraction = yes_no("kiln_extraction")
    kiln_vent_outside = yes_no("kiln_vent_outside")
    people_near_kiln = yes_no("people_near_kiln")
    co_alarm = yes_no("co_alarm")
    over_temperature_cutoff = yes_no("over_temperature_cutoff")
    hours_unattended = number("hours_unattended")
    on_call = yes_no("on_call")
    clear_of_kiln = yes_no("clear_of_kiln")
    top_heat_watched = yes_no("top_heat_watched")
    melter = choice("melter", max_length=10)
    fuel = choice("fuel", max_length=12)
    oxygen = yes_no("oxygen")
    leak_test = yes_no("leak_test")
    gauge_unit = choice("gauge_unit", max_length=4)
    gauge_kind = choice("gauge_kind", max_length=8)
    pump_best = reading("pump_best")
    eyewash = yes_no("eyewash")
    eyewash_s = number("eyewash_s")
    extinguisher = yes_no("extinguisher")
    first_aider = yes_no("first_aider")
    data_sheets = yes_no("data_sheets")
    solvents = yes_no("solvents")
    pickle = yes_no("pickle")
    bell_jar = yes_no("bell_jar")
    steam_dewax = yes_no("steam_dewax")
    lamp = yes_no("lamp")
    outdoors = yes_no("outdoors")
    unknown_metal = yes_no("unknown_metal")
    asbestos = yes_no("asbestos")
    old_fibre = yes_no("old_fibre")
    adults = number("adults")
    students_per_adult = number("students_per_adult")
    youngest_age = number("youngest_age")
    mixes_from_age = number("mixes_from_age")
    hot_work_from_age = number("hot_work_from_age")

    tap_for_burns = models.CharField(_("Cool running water for burns"), max_length=120, blank=True)
    eyewash_where = models.CharField(_("Eyewash"), max_length=120, blank=True)
    extinguisher_where = models.CharField(_("Extinguisher and fire blanket"), max_length=120, blank=True)
    exits = models.CharField(_("Ways out and meeting place"), max_length=120, blank=True)
    emergency_number = models.CharField(_("Emergency number and the address to say"), max_length=160, blank=True)
    contact = models.CharField(_("Whom to call at the school"), max_length=120, blank=True)
    version = models.PositiveIntegerField(_("version"), default=1, editable=False)

    class Meta:
        verbose_name = _("safety record")
        verbose_name_plural = _("safety records")

    def __str__(self) -> str:
        return f"safety record of {self.school_id}"

    def clean(self) -> None:
        """Refuse a reading of the gauge that is more than any air's pressure."""
        if self.pump_best is None or self.gauge_unit is None or self.gauge_unit not in MBAR_IN:
            return
        most = MOST_AIR_MBAR / MBAR_IN[self.gauge_unit]
        if self.pump_best > most:
            sentence = _("%(best)s %(unit)s is more than any air presses: %(most)s is the most. Check number and unit.")
            figures = {"best": f"{self.pump_best:g}", "unit": self.gauge_unit, "most": f"{most:.4g}"}
            raise ValidationError({"pump_best": ValidationError(sentence, params=figures)})

    def facts(self, students: int | None = None) -> Facts:
        """The record as values, with the number of students of a day and the height of the school."""
        known = {name: getattr(self, name) for name in FACT_NAMES}
        return Facts(**known, students=students, elevation_m=self.school.elevation_m if self.school_id else None)


FACT_NAMES = tuple(name for name, fact in FACTS.items() if fact.question)
"""The facts of the record, in their order; the others come from the class of a day."""

PLACE_NAMES = ("tap_for_burns", "eyewash_where", "extinguisher_where", "exits", "emergency_number", "contact")


class CautionCleared(models.Model):
    """A caution that a teacher cleared for a day, with its words: when they change, it is asked again.

    One that was taken back clears nothing; it stays with who took it back and when.
    """

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="cautions_cleared")
    caution = models.CharField(_("caution"), max_length=40)
    text = models.TextField(_("its words"))
    by = models.CharField(_("name"), max_length=80)
    reason = models.CharField(_("reason"), max_length=200)
    at = models.DateTimeField(_("at"), auto_now_add=True)
    taken_back_by = models.CharField(_("taken back by"), max_length=80, blank=True)
    taken_back_at = models.DateTimeField(_("taken back at"), null=True, blank=True)

    class Meta:
        verbose_name = _("caution cleared")
        verbose_name_plural = _("cautions cleared")
        constraints = (
            models.UniqueConstraint(
                fields=("day", "caution", "text"),
                condition=models.Q(taken_back_at__isnull=True),
                name="caution_cleared_once_per_day",
            ),
        )

    def __str__(self) -> str:
        return f"{self.caution} cleared by {self.by}"
