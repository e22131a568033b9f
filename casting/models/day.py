"""Models of a casting day: its waxes with their changes, and how far its flasks are."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any, Self

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from casting.calc.values import enums
from casting.calc.values.day_input import SCHOOL
from casting.dayfile.times import DAYS_AFTER, DAYS_BEFORE
from casting.models.materials import Alloy, PatternMaterial
from casting.models.photo import Photo
from school.models import Course, Person, Student

if TYPE_CHECKING:
    from casting.models.mishap import Recast


class CastingDayQuerySet(models.QuerySet["CastingDay"]):
    """Queries for casting days, which bring course and school along."""

    def of(self, person: Person) -> Self:
        """Return the days of the person's school."""
        return self.filter(course__school_id=person.school_id).select_related("course__school")

    def listed(self, person: Person) -> Self:
        """Return the days of the person's school without that of a rehearsal."""
        return self.of(person).filter(course__is_rehearsal=False)


class CastingDay(models.Model):
    """One class casting on one day: the first pour, the metals offered, the hours, the end of hand-in.

    `own_hours` are, by date, the hours of days that differ from the usual ones, as a day file has them. `sizes_used`
    and `kilns_used` are keys of the shelf; null is all that the school works with, also what it adds later. `torches`,
    `hands` and `melt_w` are the bench of this day alone; null is what the house rules say.
    """

    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="casting_days")
    pour_at = models.DateTimeField(_("first pour"))
    hand_in_closes_at = models.DateTimeField(_("hand-in closes"), null=True, blank=True)
    closed_at = models.DateTimeField(_("hand-in was closed"), null=True, blank=True)
    alloys = models.ManyToManyField(Alloy, verbose_name=_("metals offered"), related_name="+")
    opens = models.TimeField(_("studio opens"), null=True, blank=True)
    closes = models.TimeField(_("studio closes"), null=True, blank=True)
    hand_in_until = models.TimeField(_("waxes can be brought until"), null=True, blank=True)
    gloss_off_min = models.FloatField(_("gloss gone after, min"), null=True, blank=True)
    own_hours = models.JSONField(_("hours of single days"), default=dict, blank=True)
    on_call = models.CharField(_("on call while a kiln is alone"), max_length=120, blank=True)
    sizes_used = models.JSONField(_("flask sizes used"), null=True, blank=True)
    kilns_used = models.JSONField(_("kilns used"), null=True, blank=True)
    torches = models.PositiveSmallIntegerField(_("torches on this day"), null=True, blank=True)
    hands = models.PositiveSmallIntegerField(_("pairs of hands on this day"), null=True, blank=True)
    melt_w = models.FloatField(_("heat into the metal on this day, W"), null=True, blank=True)
    version = models.PositiveIntegerField(_("version"), default=1, editable=False)
    cancelled_at = models.DateTimeField(_("cancelled"), null=True, blank=True)
    cancelled_by = models.CharField(_("cancelled by"), max_length=120, blank=True)
    cancelled_why = models.CharField(_("why it is cancelled"), max_length=200, blank=True)
    ended_at = models.DateTimeField(_("the day was closed"), null=True, blank=True)

    objects = CastingDayQuerySet.as_manager()

    class Meta:
        verbose_name = _("casting day")
        verbose_name_plural = _("casting days")
        ordering = ("-pour_at", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=Q(opens__isnull=True, closes__isnull=True)
                | Q(opens__isnull=False, closes__isnull=False, opens__lt=models.F("closes")),
                name="studio_opens_before_it_closes",
            ),
        )

    def __str__(self) -> str:
        return f"casting day {self.pour_at:%Y-%m-%d %H:%M} UTC"

    def hand_in_open(self, at: datetime | None = None) -> bool:
        """Tell whether students may still hand in and change waxes."""
        at = at or timezone.now()
        closes = min(self.hand_in_closes_at or self.pour_at, self.pour_at)
        return self.closed_at is None and self.cancelled_at is None and self.ended_at is None and at < closes

    def pour_has_begun(self, at: datetime | None = None) -> bool:
        """Tell whether the hour of the first pour has come, after which the day takes no wax."""
        return self.pour_at <= (at or timezone.now())

    @property
    def why_shut(self) -> str:
        """Return why the day takes no change, in a sentence, if it is cancelled or closed; else nothing."""
        if self.cancelled_at is not None:
            sentence = gettext("This casting day is cancelled, by %(by)s: %(why)s. It stays as it is.")
            return sentence % {"by": self.cancelled_by, "why": self.cancelled_why.rstrip(".")}
        return gettext("This casting day is closed. It stays as it is.") if self.ended_at is not None else ""

    def states(self) -> dict[str, str]:
        """Return the states of invested and poured flasks by label; planned flasks are left out."""
        return dict(self.flasks.exclude(state=Flask.State.PLANNED).values_list("label", "state"))

    def kilns_on(self) -> dict[str, datetime]:
        """Return since when which kilns are on, by key, as somebody noted."""
        return self.done_at(enums.Do.KILN_ON)[enums.Do.KILN_ON]

    def done_at(self, *steps: str) -> dict[str, dict[str, datetime]]:
        """Return when these steps were done, by step and then by flask or kiln, as somebody noted. One query."""
        found: dict[str, dict[str, datetime]] = {do: {} for do in steps}
        for do, what, at in self.steps_done.filter(do__in=steps).values_list("do", "what", "done_at"):
            found[do][what] = at
        return found

    def pour_local(self) -> datetime:
        """Return the time of the first pour in the school's time zone."""
        return self.pour_at.astimezone(self.course.school.tz)

    def own_hours_of_pour(self) -> dict[str, list[str] | None]:
        """Return the hours of single days that the pour can touch, by date; None for one on which nobody is there."""
        pour_on = self.pour_local().date()
        near = [(pour_on + timedelta(days=nth)).isoformat() for nth in range(-DAYS_BEFORE, DAYS_AFTER + 1)]
        return {day: self.own_hours[day] for day in near if day in self.own_hours}

    def own_bench(self) -> dict[str, Any]:
        """Return the house rules that are others on this day, as a day file has them."""
        own = {"torches": self.torches, "hands": self.hands, "melt_w": self.melt_w}
        return {name: value for name, value in own.items() if value is not None}

    def to_day(self) -> dict[str, Any]:
        """Return the day's own keys of a day file: zone, first pour, elevation and hours."""
        school = self.course.school
        part: dict[str, Any] = {
            "format": "casting-day/1",
            "timezone": school.zone,
            "pour_at": self.pour_local().isoformat(timespec="minutes"),
        }
        if school.elevation_m is not None:
            part["elevation_m"] = school.elevation_m
        if self.opens and self.closes:
            part["hours"] = {"opens": f"{self.opens:%H:%M}", "closes": f"{self.closes:%H:%M}"}
            if self.hand_in_until:
                part["hours"]["hand_in_until"] = f"{self.hand_in_until:%H:%M}"
            if own := self.own_hours_of_pour():
                part["hours"]["days"] = own
        if self.gloss_off_min is not None:
            part["gloss_off_min"] = self.gloss_off_min
        return part


class WaxQuerySet(models.QuerySet["Wax"]):
    """Queries for waxes; withdrawn ones stay in the table."""

    def of(self, person: Person) -> Self:
        """Return the waxes of the person's school."""
        return self.filter(day__course__school_id=person.school_id)

    def for_student(self, student: Student) -> Self:
        """Return the student's own waxes."""
        return self.filter(student=student).select_related("alloy", "second_alloy", "pattern")

    def planned_from(self) -> Self:
        """Return the waxes that are not withdrawn, with the rows that a day file names of them."""
        return self.filter(withdrawn_at__isnull=True).select_related("alloy", "pattern", "sprue_pattern").order_by()

    def standing(self) -> Self:
        """Return the waxes that are not withdrawn by tag, with the rows that a page shows of them."""
        rows = self.filter(withdrawn_at__isnull=True)
        joined = ("alloy", "second_alloy", "pattern", "sprue_pattern", "student")
        return rows.select_related(*joined).order_by("tag")

    def with_photo_keys(self) -> Self:
        """Return the waxes, each with the digest of its photo as `photo_key`; no photo is read."""
        return self.annotate(photo_key=models.F("photo__sent_as"))


class Wax(models.Model):
    """A student's wax with its sprue, in g and mm; the weights as typed are kept beside them."""

    class Unit(models.TextChoices):
        """The unit of a weight as typed."""

        GRAM = "g", "g"
        PENNYWEIGHT = "dwt", "dwt"
        TROY_OUNCE = "ozt", "ozt"
        OUNCE = "oz", "oz"

    class Stones(models.TextChoices):
        """Stones left in the wax."""

        NONE = enums.Stones.NONE.value, _("no stones")
        TAKE_FIRING = enums.Stones.TAKE_FIRING.value, _("only diamond, ruby, sapphire, garnet or cubic zirconia")
        OTHER = enums.Stones.OTHER.value, _("another stone, or I do not know")

    class Section(models.TextChoices):
        """The thickness of the thinnest part."""

        VERY_THIN = enums.Section.VERY_THIN.value, _("very thin, under 0.8 mm")
        THIN = enums.Section.THIN.value, _("thin, 0.8 to 1.2 mm")
        MEDIUM = enums.Section.MEDIUM.value, _("medium, 1.2 to 2.5 mm")
        HEAVY = enums.Section.HEAVY.value, _("heavy, above 2.5 mm")

    SECTION_WORDS = {
        Section.VERY_THIN: _("very thin"),
        Section.THIN: _("thin"),
        Section.MEDIUM: _("medium"),
        Section.HEAVY: _("heavy"),
    }

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="waxes")
    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="waxes")
    key = models.UUIDField(_("key made on the phone"), default=uuid.uuid4)
    tag = models.CharField(_("tag"), max_length=2)
    what = models.CharField(_("what it is"), max_length=80)
    alloy = models.ForeignKey(Alloy, on_delete=models.RESTRICT, related_name="+")
    pattern = models.ForeignKey(PatternMaterial, on_delete=models.RESTRICT, related_name="+")
    own_metal = models.BooleanField(_("the student's own metal"), default=False)
    wax_g = models.DecimalField(_("weight, no rubber, g"), max_digits=8, decimal_places=4)
    sprue_g = models.DecimalField(_("sprue of other material, g"), max_digits=8, decimal_places=4, default=0)
    sprue_pattern = models.ForeignKey(
        PatternMaterial, on_delete=models.RESTRICT, related_name="+", null=True, blank=True
    )
    entered = models.CharField(_("weight as typed"), max_length=20)
    entered_unit = models.CharField(_("its unit"), max_length=4, choices=Unit.choices, default=Unit.GRAM)
    base_entered = models.CharField(_("rubber base as typed"), max_length=20, blank=True)
    sprue_entered = models.CharField(_("sprue as typed"), max_length=20, blank=True)
    width_mm = models.DecimalField(_("width, mm"), max_digits=7, decimal_places=3)
    depth_mm = models.DecimalField(_("depth, mm"), max_digits=7, decimal_places=3)
    height_mm = models.DecimalField(_("height, mm"), max_digits=7, decimal_places=3)
    section = models.CharField(_("thinnest part"), max_length=10, choices=Section.choices)
    thickest_mm = models.DecimalField(_("thickest part, mm"), max_digits=7, decimal_places=3, null=True, blank=True)
    thick_parts = models.PositiveSmallIntegerField(_("thick parts with thin ones between"), null=True, blank=True)
    stones = models.CharField(_("stones left in it"), max_length=11, choices=Stones.choices, default=Stones.NONE)
    second_alloy = models.ForeignKey(Alloy, on_delete=models.RESTRICT, related_name="+", null=True, blank=True)
    note = models.CharField(_("note for the teacher"), max_length=200, blank=True)
    version = models.PositiveIntegerField(_("version"), default=1)
    handed_in_at = models.DateTimeField(_("handed in"), auto_now_add=True)
    withdrawn_at = models.DateTimeField(_("withdrawn"), null=True, blank=True)

    objects = WaxQuerySet.as_manager()
    photo_key: str | None  # only of rows read `with_photo_keys`

    class Meta:
        verbose_name = _("wax")
        verbose_name_plural = _("waxes")
        ordering = ("day", "tag")
        constraints = (
            models.UniqueConstraint(fields=("day", "key"), name="wax_key_once_per_day"),
            models.UniqueConstraint(fields=("day", "tag"), name="wax_tag_once_per_day"),
            models.CheckConstraint(condition=Q(wax_g__gt=0, wax_g__lte=500), name="wax_weighs_something"),
            models.CheckConstraint(
                condition=Q(sprue_g__gte=0, sprue_g__lte=models.F("wax_g")), name="wax_sprue_within_weight"
            ),
            models.CheckConstraint(condition=Q(width_mm__gt=0, depth_mm__gt=0, height_mm__gt=0), name="wax_has_a_size"),
            models.CheckConstraint(condition=Q(thickest_mm__gt=0), name="wax_thickest_over_0"),
            models.CheckConstraint(condition=Q(thick_parts__gt=0), name="wax_thick_parts_over_0"),
        )

    def __str__(self) -> str:
        return f"{self.tag} {self.what}"

    @property
    def owner(self) -> str:
        """Return the owner of the metal as a day file names it."""
        return f"student-{self.student_id}" if self.own_metal else SCHOOL

    @property
    def section_word(self) -> str:
        """Return the thickness of the thinnest part in one or two words."""
        return str(self.SECTION_WORDS[self.Section(self.section)])

    @property
    def again(self) -> Recast | None:
        """Return what is noted of its piece if something went wrong with it. One query, unless it is joined."""
        return getattr(self, "recast", None)

    @property
    def has_stones(self) -> bool:
        """Whether stones are left in it."""
        return self.stones != self.Stones.NONE

    def to_day(self, piece: int = 1) -> dict[str, Any]:
        """Return the wax as an object of a day file; `piece` counts the student's waxes from 1."""
        recorded: dict[str, Any] = {"stones": self.stones} if self.has_stones else {}
        if self.thickest_mm is not None:
            recorded["thickest_mm"] = float(self.thickest_mm)
        if self.thick_parts is not None:
            recorded["thick_parts"] = self.thick_parts
        return {
            "key": self.tag,
            "student": f"student-{self.student_id}",
            "piece": piece,
            "owner": self.owner,
            "alloy": self.alloy.key,
            "pattern": self.pattern.key,
            "wax_g": float(self.wax_g),
            "sprue_g": float(self.sprue_g),
            "sprue_pattern": self.sprue_pattern.key if self.sprue_pattern else None,
            "width_mm": float(self.width_mm),
            "depth_mm": float(self.depth_mm),
            "height_mm": float(self.height_mm),
            "section": self.section,
        } | recorded


class WaxPhoto(Photo):
    """A photo of a wax."""

    wax = models.OneToOneField(Wax, on_delete=models.CASCADE, related_name="photo")

    class Meta:
        verbose_name = _("photo of a wax")
        verbose_name_plural = _("photos of waxes")

    def __str__(self) -> str:
        return f"photo of {self.wax_id}"


class WaxChange(models.Model):
    """One change of a wax: by whom, when, and the entry before (null at hand-in) and after."""

    wax = models.ForeignKey(Wax, on_delete=models.CASCADE, related_name="changes")
    by_student = models.ForeignKey(Student, on_delete=models.SET_NULL, null=True, related_name="+")
    by_person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField(_("when"), auto_now_add=True)
    before = models.JSONField(_("before"), null=True)
    after = models.JSONField(_("after"))

    class Meta:
        verbose_name = _("change of a wax")
        verbose_name_plural = _("changes of waxes")
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"change {self.pk}"


class WaxHold(models.Model):
    """A wax that the teacher keeps in the flask of a label."""

    wax = models.OneToOneField(Wax, on_delete=models.CASCADE, related_name="held")
    label = models.CharField(_("flask"), max_length=3)

    class Meta:
        verbose_name = _("wax held to a flask")
        verbose_name_plural = _("waxes held to a flask")
        constraints = (
            models.CheckConstraint(condition=Q(label__regex=r"^[A-Z0-9]{1,3}$"), name="held_label_is_a_label"),
        )

    def __str__(self) -> str:
        return self.label


class Flask(models.Model):
    """A flask of the day and its state on the bench."""

    class State(models.TextChoices):
        """The states of a flask, in order."""

        PLANNED = "planned", _("planned")
        INVESTED = "invested", _("invested")
        POURED = "poured", _("poured")

    day = models.ForeignKey(CastingDay, on_delete=models.CASCADE, related_name="flasks")
    label = models.CharField(_("label"), max_length=3)
    state = models.CharField(_("state"), max_length=10, choices=State.choices, default=State.PLANNED)

    class Meta:
        verbose_name = _("flask")
        verbose_name_plural = _("flasks")
        ordering = ("day", "label")
        constraints = (models.UniqueConstraint(fields=("day", "label"), name="flask_label_once_per_day"),)

    def __str__(self) -> str:
        return self.label
