"""The page of teachers and helpers, and the page by which an invited person comes."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from school.models import Invitation, Person, Role
from tests.conftest import client_of_teacher
from tests.factories import PASSWORD, PersonFactory, SchoolFactory

TYPED = {"name": "Nadia Ferro", "sign_in": "nadia", "password": PASSWORD, "again": PASSWORD}


def link_of(page):
    return re.search(r'value="http://testserver(/invited/\?token=[^"]+)"', page.content.decode())[1]


def invited_by(client, role="helper"):
    return link_of(client.post(reverse("team"), {"name": "Nadia", "role": role}))


@pytest.mark.parametrize(("role", "status"), [("teacher", 200), ("helper", 403)])
def test_a_link_is_shown_once_and_brings_its_person(role, status, teacher_client, stranger_client):
    page = teacher_client.post(reverse("team"), {"name": "Nadia", "role": role})
    assert "<svg" in page.content.decode() and "no-store" in page["Cache-Control"]
    link = link_of(page)
    token = link.partition("token=")[2]
    listed = teacher_client.get(reverse("team")).content.decode()
    assert "Nadia" in listed and token not in listed
    assert 'value="Nadia"' in stranger_client.get(link).content.decode()
    assert Person.objects.count() == 1  # a visit makes nobody
    assert stranger_client.post(reverse("invited"), TYPED | {"token": token}).url == reverse("home")
    assert stranger_client.get(reverse("days")).status_code == 200
    assert stranger_client.get(reverse("people")).status_code == status
    assert Client().get(link).status_code == 404
    assert Client().post(reverse("invited"), TYPED | {"token": token, "sign_in": "odile"}).status_code == 404


@pytest.mark.parametrize(
    ("wrong", "field"),
    [({"name": ""}, "name"), ({"role": ""}, "role"), ({"role": "keeper"}, "role"), ({"name": "\u200b"}, "name")],
)
def test_an_invitation_says_whom_and_as_what(wrong, field, teacher_client):
    page = teacher_client.post(reverse("team"), {"name": "Nadia", "role": "helper"} | wrong)
    assert page.status_code == 422 and field in page.context["form"].errors
    assert not Invitation.objects.exists()


def test_a_new_link_and_a_withdrawn_one(teacher_client, other_teacher_client):
    old = invited_by(teacher_client)
    pk = Invitation.objects.get().pk
    assert other_teacher_client.post(reverse("invite_again", args=[pk])).status_code == 404
    assert other_teacher_client.post(reverse("withdraw_invitation", args=[pk])).status_code == 404
    new = link_of(teacher_client.post(reverse("invite_again", args=[pk])))
    assert Client().get(old).status_code == 404 and Client().get(new).status_code == 200
    page = teacher_client.post(reverse("withdraw_invitation", args=[pk]), follow=True)
    assert "The link for Nadia no longer works." in page.content.decode()
    assert Client().get(new).status_code == 404


def test_somebody_put_away_is_out_at_once_and_comes_back(school, teacher_client):
    helper = PersonFactory(school=school, name="Nadia Ferro", role=Role.HELPER)
    out = client_of_teacher(helper)
    assert out.get(reverse("days")).status_code == 200
    address = reverse("put_away", args=[helper.pk])
    assert "can no longer sign in" in teacher_client.post(address, follow=True).content.decode()
    assert out.get(reverse("days")).url.startswith(reverse("sign_in"))
    assert "can sign in again" in teacher_client.post(address, {"do": "undo"}, follow=True).content.decode()
    assert client_of_teacher(Person.objects.get(pk=helper.pk)).get(reverse("days")).status_code == 200


def test_leaving_signs_out_but_the_last_teacher_stays(school, teacher, teacher_client):
    page = teacher_client.post(reverse("leave"), follow=True)
    assert "A school keeps one teacher who can sign in." in page.content.decode()
    assert Person.objects.get(pk=teacher.pk).is_active
    PersonFactory(school=school)
    assert teacher_client.post(reverse("leave")).url == reverse("home")
    assert not Person.objects.get(pk=teacher.pk).is_active
    typed = {"sign_in": teacher.sign_in, "password": PASSWORD}
    assert Client().post(reverse("sign_in"), typed).status_code == 422


def test_an_invitation_to_a_demo_is_for_this_machine(db):
    teacher = PersonFactory(school=SchoolFactory(is_demo=True))
    here = Client(HTTP_HOST="localhost")
    here.force_login(teacher)
    page = here.post(reverse("team"), {"name": "Nadia", "role": "helper"})
    token = re.search(r'token=([^"]+)"', page.content.decode())[1]
    assert here.get(reverse("invited"), {"token": token}).status_code == 200
    assert Client(REMOTE_ADDR="192.0.2.7").get(reverse("invited"), {"token": token}).status_code == 404


def test_the_page_takes_no_more_queries_for_many_people(school, teacher_client, django_assert_num_queries):
    def fill(number):
        for _one in range(number):
            PersonFactory(school=school)
            teacher_client.post(reverse("team"), {"name": "Nadia", "role": "helper"})

    fill(1)
    with django_assert_num_queries(4):  # session, teacher with school, people, invitations with who invited
        teacher_client.get(reverse("team"))
    fill(9)
    with django_assert_num_queries(4):
        teacher_client.get(reverse("team"))


def test_the_pages_come_in_spanish(teacher_client):
    spanish = {"accept-language": "es"}
    assert "Docentes y ayudantes" in teacher_client.get(reverse("team"), headers=spanish).content.decode()
    link = invited_by(teacher_client)
    assert "Te invitan como ayudante" in Client(headers=spanish).get(link).content.decode()
