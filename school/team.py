"""The teachers and helpers of a school: invited by a link, put away and brought back; one teacher always stays."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from school.invitations import LIFETIME, LinkUsed, new_token, use_up
from school.models import Invitation, Person, Role, School


class LastTeacher(Exception):
    """A school would be left without a teacher who may sign in."""

    def __init__(self) -> None:
        super().__init__(
            str(_("A school keeps one teacher who can sign in. Invite another teacher first, then do this again."))
        )


def invite(by: Person, name: str, role: str) -> tuple[Invitation, str]:
    """Invite somebody to the school of a teacher; return the invitation, and the token of its link, kept nowhere."""
    token, kept = new_token()
    until = timezone.now() + LIFETIME
    invitation = Invitation.objects.create(
        token_hash=kept, school=by.school, role=role, name=name, by=by, expires=until
    )
    return invitation, token


def invite_back(person: Person) -> str:
    """Invite somebody of a school that was read in from a file to their own row; return the token of the link."""
    token, kept = new_token()
    until = timezone.now() + LIFETIME
    Invitation.objects.create(
        token_hash=kept, school=person.school, role=person.role, name=person.name, person=person, expires=until
    )
    return token


def invite_again(by: Person, invitation_id: int) -> tuple[Invitation, str]:
    """Give an open invitation of the teacher's school a new link; the old one stops working."""
    with transaction.atomic():
        invitation = Invitation.objects.select_for_update().get(school=by.school, pk=invitation_id)
        token, invitation.token_hash = new_token()
        invitation.by, invitation.created = by, timezone.now()
        invitation.expires = invitation.created + LIFETIME
        invitation.save()
    return invitation, token


def withdraw(by: Person, invitation_id: int) -> str:
    """End an invitation of the teacher's school; return whom it was for."""
    with transaction.atomic():
        invitation = Invitation.objects.select_for_update().get(school=by.school, pk=invitation_id)
        invitation.delete()
    return invitation.name


@transaction.atomic
def accept(invitation: Invitation, *, name: str, sign_in: str, password: str) -> Person:
    """Make the invited person one of the school, or let them back in.

    Raises `LinkUsed`, or `IntegrityError` for a taken sign-in name.
    """
    if not use_up(invitation):
        raise LinkUsed
    if (person := invitation.person) is not None:
        person.name, person.sign_in, person.is_active = name, sign_in.strip().casefold(), True
        person.set_password(password)
        person.save(update_fields=["name", "sign_in", "is_active", "password"])
        return person
    return Person.objects.create_user(sign_in, password, name=name, school=invitation.school, role=invitation.role)


def left_without_teacher(people: Iterable[Person]) -> School | None:
    """Return a school that would have no teacher left who can sign in, if these people were gone; None if each has."""
    pks = [person.pk for person in people]
    able = Person.objects.filter(role=Role.TEACHER, is_active=True)
    for school in School.objects.select_for_update().filter(pk__in=able.filter(pk__in=pks).values("school")):
        if not able.filter(school=school).exclude(pk__in=pks).exists():
            return school
    return None


@transaction.atomic
def put_away(by: Person, person_id: int) -> Person:
    """Let somebody of the teacher's school sign in no longer; what they wrote stays. Raises `LastTeacher`."""
    assert by.school_id is not None
    person = Person.objects.of(by).get(pk=person_id)
    if left_without_teacher([person]):
        raise LastTeacher
    person.is_active = False
    person.save(update_fields=["is_active"])
    return person


def bring_back(by: Person, person_id: int) -> Person:
    """Let somebody of the teacher's school sign in again."""
    person = Person.objects.of(by).get(pk=person_id)
    person.is_active = True
    person.save(update_fields=["is_active"])
    return person


def rename(person: Person, name: str, spelled: str) -> None:
    """Write somebody's name, and how papers spell it."""
    person.name, person.spelled = name, spelled
    person.save(update_fields=["name", "spelled"])


def speak(person: Person, language: str) -> None:
    """Write the language that somebody reads the site in; empty for the browser's."""
    person.language = language
    person.save(update_fields=["language"])


def change_password(person: Person, password: str) -> None:
    """Give somebody a new password: every other session of theirs ends."""
    person.set_password(password)
    person.save(update_fields=["password"])
