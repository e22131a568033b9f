"""The people of a school come by a link, and one teacher always stays."""

import pytest

from school import team
from school.invitations import LinkUsed, find_invitation
from school.models import Invitation, Person, Role
from tests.factories import PASSWORD, PersonFactory


def come(token, sign_in="nadia"):
    return team.accept(find_invitation(token, to_a_school=True), name="Nadia Ferro", sign_in=sign_in, password=PASSWORD)


@pytest.mark.parametrize("role", Role.values)
def test_an_invited_person_comes_in_the_role_they_were_invited_to(role, teacher):
    _invitation, token = team.invite(teacher, "Nadia", role)
    person = come(token)
    assert (person.role, person.school, person.is_teacher) == (role, teacher.school, role == "teacher")
    assert person.check_password(PASSWORD) and not person.is_staff and not Invitation.objects.exists()


def test_a_link_brings_one_person(teacher):
    invitation, token = team.invite(teacher, "Nadia", Role.HELPER)
    come(token)
    with pytest.raises(LinkUsed):
        team.accept(invitation, name="Odile", sign_in="odile", password=PASSWORD)
    assert not Person.objects.filter(sign_in="odile").exists()


def test_a_new_link_ends_the_old_one_and_a_withdrawn_one_ends(teacher):
    invitation, old = team.invite(teacher, "Nadia", Role.HELPER)
    _same, new = team.invite_again(teacher, invitation.pk)
    assert find_invitation(old, to_a_school=True) is None and find_invitation(new, to_a_school=True) == invitation
    assert team.withdraw(teacher, invitation.pk) == "Nadia"
    assert find_invitation(new, to_a_school=True) is None


def test_nobody_touches_the_people_of_another_school(teacher, other_teacher):
    invitation, _token = team.invite(teacher, "Nadia", Role.HELPER)
    for act in (team.invite_again, team.withdraw):
        with pytest.raises(Invitation.DoesNotExist):
            act(other_teacher, invitation.pk)
    for act in (team.put_away, team.bring_back):
        with pytest.raises(Person.DoesNotExist):
            act(other_teacher, teacher.pk)


def test_the_last_teacher_stays(teacher, school):
    helper = PersonFactory(school=school, role=Role.HELPER)
    PersonFactory(school=school, is_active=False)
    PersonFactory()  # of another school
    with pytest.raises(team.LastTeacher, match="Invite another teacher first"):
        team.put_away(teacher, teacher.pk)
    assert not team.put_away(teacher, helper.pk).is_active
    second = PersonFactory(school=school)
    assert not team.put_away(second, teacher.pk).is_active
    with pytest.raises(team.LastTeacher):
        team.put_away(second, second.pk)
    assert team.bring_back(second, teacher.pk).is_active


def test_a_name_and_a_password_are_changed(teacher):
    team.rename(teacher, "山田 花子", "Yamada Hanako")
    team.change_password(teacher, "charcoal and cuttlefish")
    now = Person.objects.get(pk=teacher.pk)
    assert now.printed_name == "Yamada Hanako" and now.check_password("charcoal and cuttlefish")


def test_somebody_of_a_school_that_was_read_in_comes_back_to_their_own_row(school):
    away = PersonFactory(school=school, name="Nadia", is_active=False, role=Role.HELPER)
    token = team.invite_back(away)
    assert come(token, " Nadia@Bench ").pk == away.pk
    now = Person.objects.get(pk=away.pk)
    assert (now.name, now.sign_in, now.role, now.is_active) == ("Nadia Ferro", "nadia@bench", "helper", True)
    assert now.check_password(PASSWORD) and not Invitation.objects.exists()
