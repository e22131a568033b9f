"""Somebody's own page: name and password."""

import pytest
from django.test import Client
from django.urls import reverse

from school.models import Person, Role
from tests.conftest import client_of_teacher
from tests.factories import PASSWORD, PersonFactory

NEW = "charcoal and cuttlefish"
CHANGE = {"do": "password", "old": PASSWORD, "password": NEW, "again": NEW}


@pytest.fixture
def address():
    return reverse("me")


@pytest.mark.parametrize("role", Role.values)
def test_teacher_and_helper_change_their_name(role, school, address):
    person = PersonFactory(school=school, role=role)
    client = client_of_teacher(person)
    assert client.post(address, {"do": "name", "name": " Nadia  Ferro ", "spelled": ""}).url == address
    assert Person.objects.get(pk=person.pk).name == "Nadia Ferro"


def test_a_name_that_papers_cannot_print_is_spelled(teacher, teacher_client, address):
    refused = teacher_client.post(address, {"do": "name", "name": "山田 花子", "spelled": "花子"})
    assert refused.status_code == 422 and "cannot print 花, 子" in refused.content.decode()
    teacher_client.post(address, {"do": "name", "name": "山田 花子", "spelled": "Yamada Hanako"})
    assert Person.objects.get(pk=teacher.pk).printed_name == "Yamada Hanako"


def test_every_language_is_there_to_choose(teacher, teacher_client, address):
    page = teacher_client.get(address).content.decode()
    assert [f'name="language" value="{code}"' in page for code in ("en", "es")] == [True, True]
    teacher_client.post(address, {"do": "language", "language": "es"})
    assert (
        Person.objects.get(pk=teacher.pk).language == "es"
        and 'lang="es"' in teacher_client.get(address).content.decode()
    )


def test_a_new_password_signs_the_other_devices_out(teacher, teacher_client, address):
    other = client_of_teacher(teacher)
    page = teacher_client.post(address, CHANGE, follow=True)
    assert page.status_code == 200 and "Other devices are signed out." in page.content.decode()
    assert other.get(address).url.startswith(reverse("sign_in"))
    for password, status in ((PASSWORD, 422), (NEW, 302)):
        typed = {"sign_in": teacher.sign_in, "password": password}
        assert Client().post(reverse("sign_in"), typed).status_code == status


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"old": ""}, "Write the password that you sign in with now."),
        ({"old": "not it"}, "That is not your password now. Nothing is changed."),
        ({"password": "short", "again": "short"}, "at least 10 characters"),
        ({"password": "imre valdane", "again": "imre valdane"}, "too similar to the name"),
        ({"again": "another"}, "The two passwords differ."),
    ],
)
def test_a_mistake_leaves_the_password_as_it_is(wrong, said, teacher, teacher_client, address):
    page = teacher_client.post(address, CHANGE | wrong)
    assert page.status_code == 422 and said in page.content.decode()
    assert Person.objects.get(pk=teacher.pk).check_password(PASSWORD)


def test_whoever_guesses_the_old_password_waits(teacher_client, address):
    answers = [teacher_client.post(address, CHANGE | {"old": "wrong"}).status_code for _try in range(11)]
    assert answers == [422] * 10 + [429]


def test_a_post_that_says_nothing_changes_nothing(teacher_client, address):
    assert teacher_client.post(address).status_code == 200
    assert teacher_client.post(address, {"do": "name"}).status_code == 422
