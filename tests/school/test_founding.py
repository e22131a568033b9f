"""A school and its first teacher: both or neither."""

from dataclasses import replace

import pytest
from django.db import IntegrityError

from school.founding import Founding, found_school, free_slug
from school.invitations import LinkUsed, find_invitation, issue_school_link
from school.models import Invitation, Person, School
from school.signals import school_made
from tests.factories import PASSWORD, PersonFactory, SchoolFactory

SAID = Founding("Saltmarsh Metal Hall", "America/Denver", "Odile Marchetti", "odile", PASSWORD)


@pytest.fixture
def invitation(db):
    return find_invitation(issue_school_link(), to_a_school=False)


def test_a_school_is_made_with_its_teacher_and_told_of(invitation):
    heard = []

    def hear(school, **_signal):
        heard.append(school)

    school_made.connect(hear)
    try:
        person = found_school(invitation, SAID)
    finally:
        school_made.disconnect(hear)
    assert heard == [person.school]
    assert (person.school.name, person.school.zone, person.school.is_demo) == (SAID.school, SAID.zone, False)
    assert person.is_teacher and person.check_password(PASSWORD)
    assert not (person.is_staff or person.is_superuser)


def test_a_link_makes_one_school(invitation):
    found_school(invitation, SAID)
    with pytest.raises(LinkUsed):
        found_school(invitation, replace(SAID, sign_in="nadia"))
    assert School.objects.count() == Person.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_taken_sign_in_name_leaves_neither_school_nor_a_used_link():
    PersonFactory(school=None, sign_in="odile")
    invitation = find_invitation(issue_school_link(), to_a_school=False)
    with pytest.raises(IntegrityError):
        found_school(invitation, SAID)
    assert not School.objects.exists() and Invitation.objects.count() == 1


@pytest.mark.parametrize(
    ("taken", "name", "slug"),
    [
        ([], "Saltmarsh Metal Hall", "saltmarsh-metal-hall"),
        (["rings"], "Rings", "rings-2"),
        (["rings", "rings-2", "rings-of-salt"], "Rings", "rings-3"),
        ([], "工房", "school"),
        (["school"], "工房", "school-2"),
    ],
)
def test_a_short_name_is_free(taken, name, slug, db):
    for one in taken:
        SchoolFactory(slug=one)
    assert free_slug(name) == slug


def test_a_long_name_has_a_short_name_that_fits_its_column(db):
    assert len(free_slug("rings and bangles " * 6)) <= 60
