"""A first teacher makes the school from the site itself."""

import pytest
from django.test import Client
from django.urls import reverse

from casting.models import Alloy, FlaskSize
from school.invitations import LinkUsed, issue_school_link
from school.models import Invitation, Person, School
from tests.factories import PASSWORD, PersonFactory

TYPED = {
    "school": "Saltmarsh Metal Hall",
    "zone": "america/denver",
    "name": " Odile  Marchetti",
    "sign_in": "Odile@Saltmarsh.example",
    "password": PASSWORD,
    "again": PASSWORD,
}
ADDRESS = "/first-teacher/"


@pytest.fixture
def token(db):
    return issue_school_link()


def test_the_page_makes_school_and_teacher_and_goes_on(token, stranger_client):
    assert stranger_client.get(ADDRESS, {"token": token}).status_code == 200
    assert not School.objects.exists()  # a visit makes nothing, nor uses the link up
    answer = stranger_client.post(ADDRESS, TYPED | {"token": token})
    assert answer.url == reverse("set_up")
    school = School.objects.get()
    person = Person.objects.get()
    assert (school.name, school.zone, person.name) == ("Saltmarsh Metal Hall", "America/Denver", "Odile Marchetti")
    assert stranger_client.get(reverse("people")).status_code == 200
    assert Alloy.objects.filter(school=school, offered=True).exists()
    assert FlaskSize.objects.filter(school=school).exists()
    typed = {"sign_in": "odile@saltmarsh.example", "password": PASSWORD}
    assert Client().post(reverse("sign_in"), typed).status_code == 302


def test_the_link_works_once(token, stranger_client):
    stranger_client.post(ADDRESS, TYPED | {"token": token})
    again = Client()
    for page in (again.get(ADDRESS, {"token": token}), again.post(ADDRESS, TYPED | {"token": token, "sign_in": "x"})):
        assert page.status_code == 404
        assert "This link no longer works" in page.content.decode()
    assert School.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("school", " ", "Give the school its name."),
        ("school", "\u200b", "Write a name that people can read."),
        ("zone", "", "Choose the time zone: every hour on screens and papers is told in it."),
        ("zone", "Denver", "Do you mean America/Denver?"),
        ("name", "", "Write your name."),
        ("sign_in", "", "Write your sign-in name."),
        ("password", "", "Write a password."),
        ("password", "short", "This password is too short. It must contain at least 10 characters."),
        ("password", "1234567890", "This password is too common."),
        ("password", "odile marchetti", "The password is too similar to the name."),
        ("again", "cuttlefish and coal", "The two passwords differ. Write the same one twice."),
    ],
)
def test_a_mistake_is_told_at_its_field_and_nothing_is_made(field, typed, said, token, stranger_client):
    sent = TYPED | {field: typed, "token": token}
    if field == "password":
        sent["again"] = typed
    page = stranger_client.post(ADDRESS, sent)
    assert page.status_code == 422
    assert any(said in error for error in page.context["form"].errors[field])
    assert not School.objects.exists() and Invitation.objects.count() == 1
    body = page.content.decode()
    assert PASSWORD not in body
    if field != "school":
        assert 'value="Saltmarsh Metal Hall"' in body


def test_several_mistakes_are_told_together(token, stranger_client):
    page = stranger_client.post(ADDRESS, {"token": token})
    assert set(page.context["form"].errors) == set(TYPED)


def test_a_sign_in_name_that_somebody_has_is_refused(token, stranger_client):
    PersonFactory(sign_in="odile@saltmarsh.example")
    page = stranger_client.post(ADDRESS, TYPED | {"token": token})
    assert "“odile@saltmarsh.example” is taken." in page.context["form"].errors["sign_in"][0]


def test_a_link_used_by_another_browser_meanwhile_says_so(token, stranger_client, monkeypatch):
    def used(*_given):
        raise LinkUsed

    monkeypatch.setattr("school.views.first_teacher.found_school", used)
    assert stranger_client.post(ADDRESS, TYPED | {"token": token}).status_code == 404


def test_whoever_keeps_trying_links_waits_and_the_right_link_still_works(token, stranger_client):
    answers = [stranger_client.post(ADDRESS, TYPED | {"token": "x.y"}).status_code for _try in range(11)]
    assert answers == [404] * 10 + [429]
    assert stranger_client.post(ADDRESS, TYPED | {"token": token}).status_code == 302


def test_a_student_who_makes_a_school_is_no_longer_that_student(token, student_client):
    student_client.post(ADDRESS, TYPED | {"token": token})
    assert student_client.get(reverse("my_waxes")).url == reverse("came_back")


def test_the_page_comes_in_spanish(token):
    body = Client(headers={"accept-language": "es"}).get(ADDRESS, {"token": token}).content.decode()
    assert '<html lang="es">' in body and "Crear la escuela" in body


def test_a_school_made_in_spanish_begins_with_spanish_names(token, stranger_client):
    stranger_client.post(ADDRESS, TYPED | {"token": token}, headers={"accept-language": "es"})
    assert Alloy.objects.get(key="sterling").name == "Plata de ley 925"
