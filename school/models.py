"""Schools, their teachers, classes and students, failed attempts to get in, and the demo's one-time links."""

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

from school.names import MAX_CHARACTERS, name_with_spelling, printed_name, tidy_name, tidy_spelling, unprinted_letters

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
    paper = models.CharField(_("paper"), max_length=6, choices=Paper, default=Paper.A4)
    # Three letters of ISO 4217; blank is unknown, and then costs are shown without a currency.
    currency = models.CharField(_("prices in"), max_length=3, blank=True, default="", validators=[validate_currency])
    # Set by `manage.py demo` alone: its people are invented and can be visited on this machine only.
    is_demo = models.BooleanField(_("demo"), default=False, editable=False)
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


class PersonQuerySet(models.QuerySet["Person"]):
    """Teachers and administrators."""

    def of(self, person: Person) -> Self:
        """Those of the person's school."""
        return self.filter(school__isnull=False, school=person.school_id)


class PersonManager(BaseUserManager["Person"]):
    """Makes people and finds them by their sign-in name, whatever its case."""

    def get_queryset(self) -> PersonQuerySet:
        """People with their school, which every page of a teacher names."""
        return PersonQuerySet(self.model, using=self._db).select_related("school")

    def of(self, person: Person) -> PersonQuerySet:
        """Those of the person's school."""
        return self.get_queryset().of(person)

    def get_by_natural_key(self, username: str | None) -> Person:
        """Return the person of that sign-in name."""
        return self.get(sign_in=(username or "").strip().casefold())

    def create_user(self, sign_in: str, password: str | None = None, **fields: Any) -> Person:
        """Make a person who signs in with that name and password."""
        person = self.model(sign_in=sign_in.strip().casefold(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, sign_in: str, password: str | None = None, **fields: Any) -> Person:
        """Make an administrator of the site."""
        return self.create_user(sign_in, password, is_staff=True, is_superuser=True, **fields)


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody who signs in with a password: a teacher, or the site's administrator, who has no school."""

    school = models.ForeignKey(
        School, models.CASCADE, null=True, blank=True, related_name="people", verbose_name=_("school")
    )
    sign_in = models.CharField(_("sign-in name or email"), max_length=254)
    name = models.CharField(_("name"), max_length=MAX_CHARACTERS)
    spelled = models.CharField(
        _("name spelled for the papers"),
        max_length=MAX_CHARACTERS,
        blank=True,
        default="",
        help_text=_("Only if the papers lack letters of the name, as of Chinese, Japanese or Korean ones."),
    )
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
        """Normalise the sign-in name and the name; refuse a spelling that papers cannot print either."""
        super().clean()
        self.sign_in = self.sign_in.strip().casefold()
        self.name = tidy_name(self.name)
        try:
            self.spelled = tidy_spelling(self.spelled)
        except ValidationError as refusal:
            raise ValidationError({"spelled": refusal}) from refusal

    @property
    def printed_name(self) -> str:
        """The name that papers print."""
        return printed_name(self.name, self.spelled)

    def get_short_name(self) -> str:
        """Return the name that the administrator's pages greet."""
        return self.name


class CourseQuerySet(models.QuerySet["Course"]):
    """Classes."""

    def of(self, person: Person) -> Self:
        """Those of the person's school."""
        return self.filter(school__isnull=False, school=person.school_id)

    def open_on(self, moment: dt.datetime) -> Self:
        """Those that students may still join at that moment."""
        return self.filter(open_until__gt=moment)


class Course(models.Model):
    """A class of students; screens say "class", which is a keyword in Python."""

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
            # Unique across schools: the address on a poster holds the code alone.
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
        """Tell whether students may still join at that moment."""
        return moment < self.open_until


class StudentQuerySet(models.QuerySet["Student"]):
    """Students."""

    def of(self, person: Person) -> Self:
        """Those of the person's school."""
        return self.filter(school__isnull=False, school=person.school_id)


class Student(models.Model):
    """A member of a class: the name they are called by, and the hash of their return code."""

    school = models.ForeignKey(School, models.CASCADE, related_name="students", editable=False)
    course = models.ForeignKey(Course, models.CASCADE, related_name="students", verbose_name=_("class"))
    called = models.CharField(_("called"), max_length=MAX_CHARACTERS)
    spelled = models.CharField(_("name spelled for the papers"), max_length=MAX_CHARACTERS, blank=True, default="")
    return_hash = models.CharField(max_length=256, editable=False)
    # Comes from the form: the same form sent twice over a weak network makes one student.
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
        """Save the student with the school of their class."""
        self.school_id = self.course.school_id
        super().save(*args, **kwargs)

    @property
    def missing_letters(self) -> str:
        """The letters of the name that papers cannot print, as a sentence names them."""
        return unprinted_letters(self.called)

    @property
    def with_spelling(self) -> str:
        """The name as a teacher's screen shows it."""
        return name_with_spelling(self.called, self.spelled)


class FailedAttempt(models.Model):
    """A wrong code or password. A right one is not recorded, because a whole class shares one address."""

    entry_point = models.CharField(max_length=12)
    address = models.CharField(max_length=64)
    subject = models.CharField(max_length=64, help_text=_("what was tried, hashed"))
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["entry_point", "address", "at"], name="failed_by_address")]

    def __str__(self) -> str:
        return f"{self.entry_point} {self.at:%Y-%m-%d %H:%M}"


class DemoLink(models.Model):
    """A one-time link that signs its holder in as somebody of a demo school; only the token's hash is kept."""

    token_hash = models.CharField(max_length=64)
    person = models.ForeignKey(Person, models.CASCADE, null=True, related_name="+")
    student = models.ForeignKey(Student, models.CASCADE, null=True, related_name="+")
    page = models.CharField(max_length=200, help_text=_("the address that the link leads to"))
    expires = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["token_hash"], name="demo_link_token_once"),
            models.CheckConstraint(
                condition=Q(person__isnull=True, student__isnull=False) | Q(person__isnull=False, student__isnull=True),
                name="demo_link_signs_in_one",
            ),
        ]

    def __str__(self) -> str:
        return self.page

    @property
    def visitor(self) -> Person | Student:
        """Whom the link signs in."""
        visitor = self.person or self.student
        assert visitor is not None
        return visitor
