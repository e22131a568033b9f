"""The teacher's page of one student."""

import pytest
from django.urls import reverse

from school.models import Student, StudentChange
from tests.factories import StudentFactory


def test_a_teacher_sees_a_student_of_the_school_and_writes_another_name(teacher_client, student, classmate):
    address = reverse("student", args=[student.pk])
    body = teacher_client.get(address).content.decode()
    assert 'value="Sunniva Okoro"' in body and "Tobiah Renn" in body
    taken = teacher_client.post(address, {"called": "Tobiah Renn", "spelled": ""})
    assert taken.status_code == 422 and "already called Tobiah Renn" in taken.content.decode()
    for wrong in ({"called": ""}, {"called": "Sunniva", "spelled": "花"}):
        assert teacher_client.post(address, wrong).status_code == 422
    assert teacher_client.post(address, {"called": "Sunniva O.", "spelled": ""}).url == reverse("people")
    assert Student.objects.get(pk=student.pk).called == "Sunniva O."


def test_two_students_are_merged_and_both_phones_stay_in(teacher_client, student_client, student, classmate):
    into = {"into": classmate.pk}
    answer = teacher_client.post(reverse("merge_student", args=[student.pk]), into, follow=True)
    body = answer.content.decode()
    assert "was merged into" in body and reverse("student", args=[student.pk]) not in body
    assert "Tobiah Renn" in student_client.get(reverse("my_waxes")).content.decode()
    change = StudentChange.objects.get()
    teacher_client.post(reverse("undo_change", args=[change.pk]))
    assert "Sunniva Okoro" in student_client.get(reverse("my_waxes")).content.decode()


@pytest.mark.parametrize("into", ["x", "-1", "9" * 30])
def test_nobody_is_merged_into_nobody(into, teacher_client, student):
    assert teacher_client.post(reverse("merge_student", args=[student.pk]), {"into": into}).status_code == 404


def test_merging_into_oneself_says_why_not(teacher_client, student):
    for into in (student.pk, ""):
        page = teacher_client.post(reverse("merge_student", args=[student.pk]), {"into": into}, follow=True)
        assert "Choose another student of the same class." in page.content.decode()


def test_a_removed_student_is_out_and_back(teacher_client, student_client, student):
    page = teacher_client.post(reverse("remove_student", args=[student.pk]), follow=True)
    assert "was removed." in page.content.decode()
    assert student_client.get(reverse("my_waxes")).url == reverse("came_back")
    assert teacher_client.get(reverse("student", args=[student.pk])).status_code == 404
    change = StudentChange.objects.get()
    teacher_client.post(reverse("undo_change", args=[change.pk]))
    assert student_client.get(reverse("my_waxes")).status_code == 200
    again = teacher_client.post(reverse("undo_change", args=[change.pk]), follow=True)
    assert "can no longer be undone" in again.content.decode()


def test_the_page_takes_no_more_queries_in_a_large_class(teacher_client, student, django_assert_num_queries):
    for number in (0, 30):
        for _student in range(number):
            StudentFactory(course=student.course)
        with django_assert_num_queries(4):  # session, teacher with school, student with class, the others
            teacher_client.get(reverse("student", args=[student.pk]))


def test_the_page_comes_in_spanish(teacher_client, student):
    address = reverse("student", args=[student.pk])
    assert "Dejó la clase" in teacher_client.get(address, headers={"accept-language": "es"}).content.decode()
