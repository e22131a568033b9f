"""The school, its teachers, its classes and who is in them."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any, Self

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.names import MOST_CHARACTERS, tidy_name

HIGHEST_TOWN_M = 5500
LOWEST_TOWN_M = -430


def check_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(_("%(name)s is not a time zone such as America/Denver."), params={"name": name})


def check_currency(code: str) -> None:
    if not (len(code) == 3 and code.isascii() and code.isupper() and code.isalpha()):
        raise ValidationError(_("%(code)s is not the code of a currency such as USD or EUR."), params={"code": code})


class WeightUnit(models.TextChoices):
    GRAM = "g", _("grams")
    PENNYWEIGHT = "dwt", _("pennyweight")
    TROY_OUNCE = "ozt", _("troy ounces")


class TemperatureUnit(models.TextChoices):
    CELSIUS = "C", _("degrees Celsius")
    FAHRENHEIT = "F", _("degrees Fahrenheit")


class Paper(models.TextChoices):
    A4 = "A4", _("A4")
    LETTER = "Letter", _("US Letter")


class School(models.Model):
    """One tenant: everything else belongs to a school, and nobody sees over the fence."""

    slug = models.SlugField(_("short name"), max_length=60)
    name = models.CharField(_("name"), max_length=120)
    town = models.CharField(_("town"), max_length=120, blank=True)
    zone = models.CharField(_("time zone"), max_length=60, default="UTC", validators=[check_zone])
    # Unknown is not sea level: water boils lower in a high town, and the checks say so.
    elevation_m = models.IntegerField(_("height above the sea in metres"), null=True, blank=True)
    weight_unit = models.CharField(_("weights in"), max_length=3, choices=WeightUnit, default=WeightUnit.GRAM)
    temperature_unit = models.CharField(
        _("temperatures in"), max_length=1, choices=TemperatureUnit, default=TemperatureUnit.CELSIUS
    )
    paper = models.CharField(_("paper"), max_length=6, choices=Paper, default=Paper.A4)
    # Three letters of ISO 4217; unknown is no currency, and then costs stand without.
    currency = models.CharField(_("prices in"), max_length=3, blank=True, default="", validators=[check_currency])
    created = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["slug"], name="school_slug_once"),
            models.CheckConstraint(condition=Q(weight_unit__in=WeightUnit.values), name="school_weight_unit"),
            models.CheckConstraint(
                condition=Q(temperature_unit__in=TemperatureUnit.values), name="school_temperature_unit"
            ),
            models.CheckConstraint(condition=Q(paper__in=Paper.values), name="school_paper"),
            models.CheckConstraint(
                condition=Q(elevation_m__isnull=True)
                | Q(elevation_m__gte=LOWEST_TOWN_M, elevation_m__lte=HIGHEST_TOWN_M),
                name="school_elevation_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.zone)


class PersonQuerySet(models.QuerySet["Person"]):
    def of(self, person: Person) -> Self:
        return self.filter(school__isnull=False, school=person.school_id)


class PersonManager(BaseUserManager["Person"]):
    def get_queryset(self) -> PersonQuerySet:
        # Every teacher's page names the school: one query, not two.
        return PersonQuerySet(self.model, using=self._db).select_related("school")

    def of(self, person: Person) -> PersonQuerySet:
        return self.get_queryset().of(person)

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(sign_in=(username or "").strip().casefold())

    def create_user(self, sign_in: str, password: str | None = None, **fields: Any) -> Person:
        person = self.model(sign_in=sign_in.strip().casefold(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, sign_in: str, password: str | None = None, **fields: Any) -> Person:
        return self.create_user(sign_in, password, is_staff=True, is_superuser=True, **fields)


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody who signs in with a password: a teacher, or who keeps the host (then without a school)."""

    school = models.ForeignKey(
        School, models.CASCADE, null=True, blank=True, related_name="people", verbose_name=_("school")
    )
    sign_in = models.CharField(_("sign-in name or email"), max_length=254)
    name = models.CharField(_("name"), max_length=MOST_CHARACTERS)
    is_active = models.BooleanField(_("may sign in"), default=True)
    is_staff = models.BooleanField(_("keeps the host"), default=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects = PersonManager()

    USERNAME_FIELD = "sign_in"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name = _("teacher")
        verbose_name_plural = _("teachers")
        constraints = [models.UniqueConstraint(fields=["sign_in"], name="person_sign_in_once")]
        indexes = [models.Index(fields=["school", "name"], name="person_by_school")]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        super().clean()
        self.sign_in = self.sign_in.strip().casefold()
        self.name = tidy_name(self.name)

    def get_short_name(self) -> str:
        return self.name


class CourseQuerySet(models.QuerySet["Course"]):
    def of(self, person: Person) -> Self:
        return self.filter(school__isnull=False, school=person.school_id)

    def open_on(self, moment: dt.datetime) -> Self:
        return self.filter(open_until__gt=moment)


class Course(models.Model):
    """A class of students (class on screen)."""

    school = models.ForeignKey(School, models.CASCADE, related_name="courses", verbose_name=_("school"))
    name = models.CharField(_("name"), max_length=120)
    code = models.CharField(_("class code"), max_length=6)
    open_until = models.DateTimeField(_("joining open until"))
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects = CourseQuerySet.as_manager()

    class Meta:
        verbose_name = _("class")
        verbose_name_plural = _("classes")
        constraints = [
            models.UniqueConstraint(fields=["school", "name"], name="course_name_once"),
            # Across schools: the address on a poster carries the code alone.
            models.UniqueConstraint(fields=["code"], name="course_code_once"),
            models.CheckConstraint(
                condition=Q(code__regex=r"^[0-9ABCDEFGHJKMNPQRSTVWXYZ]{6}$"), name="course_code_letters"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def last_day(self) -> dt.date:
        """Return the last day on which somebody may still join, on the school's clock."""
        return (self.open_until - dt.timedelta(seconds=1)).astimezone(self.school.tz).date()

    def is_open(self, moment: dt.datetime) -> bool:
        return moment < self.open_until


class StudentQuerySet(models.QuerySet["Student"]):
    def of(self, person: Person) -> Self:
        return self.filter(school__isnull=False, school=person.school_id)


class Student(models.Model):
    """One who joined a class: a name to be called by, and a return code that only its hash remembers."""

    school = models.ForeignKey(School, models.CASCADE, related_name="students", editable=False)
    course = models.ForeignKey(Course, models.CASCADE, related_name="students", verbose_name=_("class"))
    called = models.CharField(_("called"), max_length=MOST_CHARACTERS)
    return_hash = models.CharField(max_length=256, editable=False)
    # Made when the form opened: the same form sent twice over a weak network is one student.
    join_key = models.UUIDField(null=True, blank=True, editable=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects = StudentQuerySet.as_manager()

    class Meta:
        verbose_name = _("student")
        verbose_name_plural = _("students")
        constraints = [
            models.CheckConstraint(condition=~Q(called=""), name="student_has_a_name"),
            models.CheckConstraint(condition=~Q(return_hash=""), name="student_has_a_code"),
            models.UniqueConstraint(fields=["school", "course", "join_key"], name="student_joins_once"),
        ]
        indexes = [models.Index(fields=["school", "course", "called"], name="student_by_school")]

    def __str__(self) -> str:
        return self.called

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.school_id = self.course.school_id
        super().save(*args, **kwargs)


class FailedTry(models.Model):
    """A wrong code or password. Right ones leave nothing: a whole class shares one address."""

    door = models.CharField(max_length=12)
    address = models.CharField(max_length=64)
    subject = models.CharField(max_length=64, help_text=_("what was tried, hashed"))
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["door", "address", "at"], name="failed_by_address")]

    def __str__(self) -> str:
        return f"{self.door} {self.at:%Y-%m-%d %H:%M}"
