"""Those who sign in with a password."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from school.models import Course, Person, Student
from tests.factories import PersonFactory


def test_two_teachers_never_share_a_sign_in_however_it_is_spelled(db):
    PersonFactory(sign_in="imre@tidewater.example")
    with pytest.raises(IntegrityError), transaction.atomic():
        PersonFactory(sign_in="Imre@Tidewater.example")


def test_every_list_stays_in_the_school_of_the_person(teacher, other_teacher, student):
    for rows in (Student.objects, Course.objects, Person.objects):
        assert rows.of(teacher).exists()
    assert list(Student.objects.of(other_teacher)) == []
    assert list(Course.objects.of(other_teacher)) == []
    assert list(Person.objects.of(other_teacher)) == [other_teacher]


def test_a_teachers_name_is_printed_as_spelled_only_where_papers_lack_its_letters(db):
    teacher = PersonFactory(name="山田 花子", spelled="Yamada Hanako")
    assert teacher.printed_name == "Yamada Hanako"
    assert PersonFactory(name="Łukasz Żak", spelled="Lukasz Zak").printed_name == "Łukasz Żak"
    teacher.spelled = "花子"
    with pytest.raises(ValidationError) as refusal:
        teacher.clean()
    assert "cannot print 花, 子" in refusal.value.message_dict["spelled"][0]
