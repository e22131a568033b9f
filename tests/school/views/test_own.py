"""A student's own code, leaving a phone and coming back to it, and being forgotten."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from school.join import find_student, renew
from school.models import Student
from tests.conftest import client_of_student


def leave(client):
    return client.post(reverse("sign_out"), follow=True).content.decode()


def test_a_phone_that_was_left_lets_its_student_back_for_a_day(student, student_client, teacher_client):
    page = leave(student_client)
    assert "You have left" in page and student.called not in page
    assert student_client.get(reverse("my_waxes")).url == reverse("came_back")
    assert "can come back on it until" in teacher_client.get(reverse("people")).content.decode()
    assert student_client.session.get_expiry_age() <= 24 * 3600
    assert student_client.post(reverse("come_back_here")).url == reverse("my_waxes")
    assert student_client.get(reverse("my_waxes")).status_code == 200
    assert student_client.session.get_expiry_age() > 24 * 3600
    assert "can come back on it until" not in teacher_client.get(reverse("people")).content.decode()


def test_no_other_phone_and_no_phone_with_an_old_code_is_let_back(student, student_client, stranger_client):
    leave(student_client)
    assert stranger_client.post(reverse("come_back_here")).url == reverse("came_back")
    renew(student)
    assert "You have left" not in student_client.get(reverse("home")).content.decode()
    assert student_client.post(reverse("come_back_here")).url == reverse("came_back")


def test_the_return_code_lets_back_after_leaving(student, student_client):
    code = renew(student)
    phone = client_of_student(student)
    leave(phone)
    typed = {"code": student.course.code, "called": student.called, "return_code": code}
    assert Client().post(reverse("came_back"), typed).url == reverse("my_waxes")
    assert Student.objects.get(pk=student.pk).left_at is None


def test_a_new_code_on_request_survives_a_reload_and_keeps_this_phone_signed_in(student, student_client):
    other = client_of_student(student)
    address = reverse("return_code")
    assert "Give me a new code" in student_client.get(address).content.decode()
    code = student_client.post(address).context["return_code"]
    assert code in student_client.get(address).content.decode()
    assert find_student(student.course.code, student.called, code) == student
    assert student_client.get(reverse("my_waxes")).status_code == 200
    assert other.get(reverse("my_waxes")).url == reverse("came_back")


def test_a_new_code_whose_answer_got_lost_signs_nobody_out(student, student_client):
    session = student_client.cookies["sessionid"].value
    student_client.post(reverse("return_code"))
    phone = Client()
    phone.cookies["sessionid"] = session
    assert phone.get(reverse("my_waxes")).status_code == 200


def test_who_asks_is_told_first_and_then_forgotten_on_every_phone(student, student_client, teacher_client):
    other, address = client_of_student(student), reverse("forget_me")
    assert "Forget me for good" in student_client.get(address).content.decode()
    assert Student.objects.get(pk=student.pk).called == "Sunniva Okoro"
    answer = student_client.post(address)
    assert answer["Clear-Site-Data"] == '"storage"' and "You are forgotten" in answer.content.decode()
    for phone in (student_client, other):
        assert phone.get(reverse("my_waxes")).url == reverse("came_back")
    page = teacher_client.get(reverse("people")).content.decode()
    assert "Sunniva Okoro" not in page and "took back their name and photos; the waxes stay" in page
    assert reverse("new_code", args=[student.pk]) not in page
    assert teacher_client.post(reverse("new_code", args=[student.pk])).status_code == 404


@pytest.mark.parametrize("name", ["return_code", "forget_me"])
def test_these_pages_come_in_spanish(name, student_client):
    page = student_client.get(reverse(name), headers={"accept-language": "es"}).content.decode()
    assert "Mis ceras" in page or "mis ceras" in page


def test_a_phone_left_long_ago_is_told_of_no_more(student, student_client, teacher_client):
    leave(student_client)
    row = Student.objects.get(pk=student.pk)
    row.left_at -= dt.timedelta(days=1)
    row.save()
    assert "can come back on it until" not in teacher_client.get(reverse("people")).content.decode()
