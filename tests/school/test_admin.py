"""Whoever keeps the host makes a school and its first teacher; nobody else gets there."""

import pytest
from django.test import Client
from django.urls import reverse

from casting.models import Alloy
from school.models import Person, School
from school.team import LastTeacher
from tests.factories import PersonFactory

PASSWORD = "cuttlefish and charcoal"


@pytest.fixture
def keeper_client(db):
    client = Client()
    client.force_login(PersonFactory(school=None, is_staff=True, is_superuser=True))
    return client


def test_the_keeper_makes_a_school_and_a_teacher_who_then_signs_in(keeper_client):
    school = {
        "name": "Saltmarsh Metal Hall", "town": "Port Ellery", "slug": "saltmarsh", "zone": "America/Denver",
        "elevation_m": "", "weight_unit": "ozt", "temperature_unit": "F", "length_unit": "in",
        "paper": "Letter",
    }  # fmt: skip
    assert keeper_client.post(reverse("admin:school_school_add"), school).status_code == 302
    made = School.objects.get(slug="saltmarsh")
    assert made.elevation_m is None
    assert Alloy.objects.filter(school=made).exists()  # it starts with a stocked shelf
    teacher = {
        "sign_in": "Odile@Saltmarsh.example", "name": "Odile Marchetti", "school": made.pk,
        "role": "teacher",
        "usable_password": "true", "password1": PASSWORD, "password2": PASSWORD,
    }  # fmt: skip
    assert keeper_client.post(reverse("admin:school_person_add"), teacher).status_code == 302
    assert Person.objects.get(school=made).sign_in == "odile@saltmarsh.example"
    typed = {"sign_in": "odile@saltmarsh.example", "password": PASSWORD}
    assert Client().post(reverse("sign_in"), typed).status_code == 302


def test_a_currency_has_the_three_letters_of_its_code(keeper_client):
    school = {
        "name": "X",
        "slug": "x",
        "zone": "UTC",
        "weight_unit": "g",
        "temperature_unit": "C",
        "length_unit": "mm",
        "paper": "A4",
    }
    page = keeper_client.post(reverse("admin:school_school_add"), school | {"currency": "us$"})
    assert "us$ is not the code of a currency such as USD or EUR." in page.content.decode()
    assert not School.objects.exists()
    keeper_client.post(reverse("admin:school_school_add"), school | {"currency": "EUR"})
    assert School.objects.get().currency == "EUR"


@pytest.mark.parametrize("page", ["index", "school_school_changelist", "school_person_changelist"])
def test_the_keepers_pages_are_the_keepers(page, keeper_client, teacher_client, student_client):
    address = reverse(f"admin:{page}")
    assert keeper_client.get(address).status_code == 200
    for client in (teacher_client, student_client, Client()):
        assert client.get(address).status_code == 302


def test_a_teacher_is_changed_without_a_new_password(keeper_client, teacher):
    address = reverse("admin:school_person_change", args=[teacher.pk])
    assert keeper_client.get(address).status_code == 200
    typed = {
        "sign_in": teacher.sign_in,
        "name": "Imre V.",
        "school": teacher.school_id,
        "is_active": "on",
        "role": "teacher",
    }
    assert keeper_client.post(address, typed).status_code == 302
    changed = Person.objects.get(pk=teacher.pk)
    assert changed.name == "Imre V."
    assert changed.password == teacher.password


def test_the_keeper_spells_a_teachers_name_for_the_papers(keeper_client):
    teacher = PersonFactory(name="山田 花子")
    address = reverse("admin:school_person_change", args=[teacher.pk])
    typed = {
        "sign_in": teacher.sign_in,
        "name": teacher.name,
        "school": teacher.school_id,
        "is_active": "on",
        "role": "teacher",
    }
    refused = keeper_client.post(address, typed | {"spelled": "花子"})
    assert "You wrote “花子”, but our papers cannot print 花, 子." in refused.content.decode()
    assert keeper_client.post(address, typed | {"spelled": "Yamada Hanako"}).status_code == 302
    assert Person.objects.get(pk=teacher.pk).printed_name == "Yamada Hanako"


def person_form(person, **changed):
    """What the keeper's page of somebody posts untouched, with some fields changed; None takes a tick away."""
    typed = {"sign_in": person.sign_in, "name": person.name, "spelled": "", "school": person.school_id or ""}
    typed |= {"role": person.role, "is_active": "on"} | changed
    return {name: value for name, value in typed.items() if value is not None}


@pytest.mark.parametrize(
    ("changed", "field"), [({"is_active": None}, "is_active"), ({"role": "helper"}, "role"), ({"school": ""}, "school")]
)
def test_the_keeper_cannot_put_away_a_school_s_last_teacher(changed, field, keeper_client, teacher):
    address = reverse("admin:school_person_change", args=[teacher.pk])
    answer = keeper_client.post(address, person_form(teacher, **changed))
    assert answer.context["adminform"].form.errors == {field: [str(LastTeacher())]}
    kept = Person.objects.get(pk=teacher.pk)
    assert kept.is_active and kept.role == "teacher" and kept.school == teacher.school
    PersonFactory(school=teacher.school)  # with a second teacher it is fair
    assert keeper_client.post(address, person_form(teacher, **changed)).status_code == 302


def test_the_keeper_cannot_delete_a_school_s_teachers_to_the_last(keeper_client, teacher):
    second = PersonFactory(school=teacher.school)
    both = {"action": "delete_selected", "_selected_action": [teacher.pk, second.pk], "post": "yes"}
    answer = keeper_client.post(reverse("admin:school_person_changelist"), both)
    assert "A school keeps one teacher who can sign in." in answer.content.decode()
    assert Person.objects.filter(school=teacher.school).count() == 2
    one = reverse("admin:school_person_delete", args=[second.pk])
    assert keeper_client.post(one, {"post": "yes"}).status_code == 302
    last = keeper_client.post(reverse("admin:school_person_delete", args=[teacher.pk]), {"post": "yes"})
    assert last.status_code in (200, 403) and Person.objects.filter(pk=teacher.pk).exists()


def test_a_helper_and_a_keeper_are_changed_as_ever(keeper_client, teacher):
    helper = PersonFactory(school=teacher.school, role="helper")
    address = reverse("admin:school_person_change", args=[helper.pk])
    assert keeper_client.post(address, person_form(helper, is_active=None)).status_code == 302
    assert not Person.objects.get(pk=helper.pk).is_active
