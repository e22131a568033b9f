"""The page of a class's roster."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from school.models import Student
from tests.factories import StudentFactory


@pytest.fixture
def address(course):
    return reverse("roster", args=[course.pk])


def test_a_list_is_looked_at_first_and_then_added(teacher_client, course, address):
    assert teacher_client.get(address).status_code == 200
    page = teacher_client.post(address, {"names": "Ana Martínez\nTobiah Renn", "do": "look"})
    body = page.content.decode()
    assert page.status_code == 200 and "Add 2 names" in body and not Student.objects.exists()
    added = teacher_client.post(address, {"names": "Ana Martínez\nTobiah Renn", "do": "add"}, follow=True)
    assert added.redirect_chain == [(reverse("people"), 302)]
    assert "2 names added." in added.content.decode() and "on the roster, not joined yet" in added.content.decode()
    joined = Client().post(reverse("join_class", args=[course.code]), {"called": "ana martínez"})
    assert joined.context["student"].called == "Ana Martínez" and Student.objects.count() == 2


def test_a_file_is_looked_at_row_by_row_and_put_right_in_the_field(teacher_client, address):
    file = SimpleUploadedFile("class.csv", "name;mail\nJosé;x\njosé;y\n".encode("cp1252"))
    page = teacher_client.post(address, {"file": file, "do": "add"})
    body = " ".join(page.content.decode().split())
    assert "The file was read as Windows-1252." in body and "The same name as row 2." in body
    assert "1 row must be put right" in body and "José\njosé</textarea>" in page.content.decode()
    assert 'value="add"' not in body and not Student.objects.exists()


@pytest.mark.parametrize("names", ["", "a" * 100_001, "\n".join(f"Ana {nth}" for nth in range(201))])
def test_a_list_that_cannot_be_read_is_told_at_the_field(names, teacher_client, address):
    page = teacher_client.post(address, {"names": names, "do": "add"})
    assert page.status_code == 422 and page.context["form"].errors["names"]
    assert not Student.objects.exists()


def test_a_name_is_shown_as_text(teacher_client, address):
    body = teacher_client.post(address, {"names": "<b>Ana</b>\n=HYPERLINK(1)"}).content.decode()
    assert "&lt;b&gt;Ana&lt;/b&gt;" in body and "<b>Ana</b>" not in body and "=HYPERLINK(1)" in body


def test_teachers_of_other_schools_see_no_roster(other_teacher_client, student_client, stranger_client, address):
    assert other_teacher_client.post(address, {"names": "Ana", "do": "add"}).status_code == 404
    for client in (student_client, stranger_client):
        assert client.post(address, {"names": "Ana", "do": "add"}).url.startswith(reverse("sign_in"))
    assert not Student.objects.filter(called="Ana").exists()


def test_a_long_list_takes_no_more_queries(teacher_client, course, address, django_assert_num_queries):
    for number in (1, 150):
        for _student in range(number // 50):
            StudentFactory(course=course)
        names = "\n".join(f"Ana {nth}" for nth in range(number))
        with django_assert_num_queries(4):  # session, teacher with school, class, its students
            teacher_client.post(address, {"names": names})


def test_the_page_comes_in_spanish(teacher_client, address):
    body = teacher_client.post(address, {"names": "Ana"}, headers={"accept-language": "es"}).content.decode()
    assert "Añadir 1 nombre" in body and "What becomes" not in body
