"""A school and its first teacher, made together by whoever holds the set-up link."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.utils.text import slugify

from school.invitations import LinkUsed, use_up
from school.models import Invitation, Person, Role, School
from school.signals import school_made

SLUG_MOST = 50
"""Characters of a short name; the column has room for a number after it."""


@dataclass(frozen=True, slots=True)
class Founding:
    """What the first teacher says of the school and of themselves."""

    school: str
    zone: str
    name: str
    sign_in: str
    password: str


@transaction.atomic
def found_school(invitation: Invitation, founding: Founding) -> Person:
    """Make the school and its first teacher, and use the link up: all of it or nothing.

    Raises `LinkUsed` if the link is gone, and Django's `IntegrityError` if somebody took the sign-in name.
    """
    if not use_up(invitation):
        raise LinkUsed
    school = School.objects.create(name=founding.school, slug=free_slug(founding.school), zone=founding.zone)
    school_made.send(sender=School, school=school)
    return Person.objects.create_user(
        founding.sign_in, founding.password, name=founding.name, school=school, role=Role.TEACHER
    )


def free_slug(name: str) -> str:
    """Return a short name that no school has: from the name's Latin letters, with a number if it is taken."""
    begun = slugify(name)[:SLUG_MOST].strip("-") or "school"
    taken = set(School.objects.filter(slug__startswith=begun).values_list("slug", flat=True))
    return next(slug for nth in range(len(taken) + 1) if (slug := f"{begun}-{nth + 1}" if nth else begun) not in taken)
