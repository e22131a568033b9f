"""Those who sign in with a password: teachers and helpers, and the administrator of the site."""

from __future__ import annotations

from typing import Any, Self

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.models.school import School
from school.names import MAX_CHARACTERS, printed_name, tidy_name, tidy_spelling


class Role(models.TextChoices):
    """What somebody does in a school; `school.access` says which page asks for which."""

    TEACHER = "teacher", _("teacher")
    HELPER = "helper", _("helper")


class Language(models.TextChoices):
    """A language that pages are in, each by its own name."""

    ENGLISH = "en", "English"
    SPANISH = "es", "Español"


class PersonQuerySet(models.QuerySet["Person"]):
    """Teachers and administrators."""

    def of(self, person: Person) -> Self:
        """Those of the person's school."""
        return self.filter(school__isnull=False, school=person.school_id)

    def teaching(self, school: School) -> Self:
        """The teachers of a school who may sign in."""
        return self.filter(school=school, role=Role.TEACHER, is_active=True)


class PersonManager(BaseUserManager["Person"]):
    """Makes people and finds them by their sign-in name, whatever its case."""

    def get_queryset(self) -> PersonQuerySet:
        """People with their school, which every page of a teacher names."""
        return PersonQuerySet(self.model, using=self._db).select_related("school")

    def of(self, person: Person) -> PersonQuerySet:
        """Those of the person's school."""
        return self.get_queryset().of(person)

    def teaching(self, school: School) -> PersonQuerySet:
        """The teachers of a school who may sign in."""
        return self.get_queryset().teaching(school)

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
    """Somebody who signs in with a password: a teacher or helper, or the site's administrator, who has no school."""

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
    role = models.CharField(_("role"), max_length=7, choices=Role, default=Role.TEACHER)
    language = models.CharField(_("language"), max_length=2, choices=Language, blank=True, default="")
    is_active = models.BooleanField(_("may sign in"), default=True)
    is_staff = models.BooleanField(_("keeps the host"), default=False)
    created = models.DateTimeField(default=timezone.now, editable=False)

    objects = PersonManager()

    USERNAME_FIELD = "sign_in"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        verbose_name = _("teacher")
        verbose_name_plural = _("teachers")
        constraints = [
            models.UniqueConstraint(fields=["sign_in"], name="person_sign_in_once"),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="person_role"),
            models.CheckConstraint(condition=Q(language__in=["", *Language.values]), name="person_language"),
        ]
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
    def is_teacher(self) -> bool:
        """Whether they teach at a school: a helper ticks and weighs, and plans nothing."""
        return self.school_id is not None and self.role == Role.TEACHER

    @property
    def printed_name(self) -> str:
        """The name that papers print."""
        return printed_name(self.name, self.spelled)

    def get_short_name(self) -> str:
        """Return the name that the administrator's pages greet."""
        return self.name
