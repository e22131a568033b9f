"""Ways in: failed attempts, and one-time links."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from school.models.classes import Student
from school.models.people import Person, Role
from school.models.school import School
from school.names import MAX_CHARACTERS


class FailedAttempt(models.Model):
    """A wrong code or password, or a new name in a class.

    A right one is not recorded, because a whole class shares one address.
    """

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


class Invitation(models.Model):
    """A one-time link to become somebody of a school, or to make one where it names none; only its hash is kept."""

    token_hash = models.CharField(max_length=64)
    school = models.ForeignKey(School, models.CASCADE, null=True, related_name="invitations")
    role = models.CharField(max_length=7, choices=Role, default=Role.TEACHER)
    name = models.CharField(_("name"), max_length=MAX_CHARACTERS, blank=True, default="")
    # Somebody of a school that was read in from a file, who comes back to what they wrote.
    person = models.ForeignKey(Person, models.CASCADE, null=True, related_name="+")
    by = models.ForeignKey(Person, models.SET_NULL, null=True, related_name="+")
    created = models.DateTimeField(default=timezone.now)
    expires = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["token_hash"], name="invitation_token_once"),
            models.UniqueConstraint(fields=["role"], condition=Q(school__isnull=True), name="one_link_makes_a_school"),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="invitation_role"),
        ]

    def __str__(self) -> str:
        return self.name
