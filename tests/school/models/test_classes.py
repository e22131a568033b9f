"""Classes and students: what the database refuses, and what a row says of itself."""

import pytest
from django.db import IntegrityError, transaction

from school.models import School
from tests.factories import CourseFactory, SchoolFactory, StudentFactory


@pytest.mark.parametrize("code", ["ABC12", "ABCI23", "abc123", "ABC-12"])
def test_a_class_code_has_six_letters_of_the_alphabet(school, code):
    with pytest.raises(IntegrityError), transaction.atomic():
        CourseFactory(school=school, code=code)


def test_two_schools_may_have_classes_of_one_name_but_not_of_one_code(school):
    other = SchoolFactory()
    CourseFactory(school=school, name="Rings", code="AAAAAA")
    CourseFactory(school=other, name="Rings", code="BBBBBB")
    with pytest.raises(IntegrityError), transaction.atomic():
        CourseFactory(school=other, name="Signets", code="AAAAAA")


@pytest.mark.parametrize("blank", [{"called": ""}, {"return_hash": ""}])
def test_a_student_has_a_name_and_a_code(course, blank):
    with pytest.raises(IntegrityError), transaction.atomic():
        StudentFactory(course=course, **blank)


def test_the_last_day_to_join_is_a_day_of_the_school(course):
    assert isinstance(course.school, School)
    # Midnight that ends 30 June in New York (UTC-4 in summer) is 04:00 UTC on the first of July.
    course.open_until = course.open_until.replace(year=2027, month=7, day=1, hour=4, minute=0, second=0)
    assert course.last_day().isoformat() == "2027-06-30"


def test_a_student_knows_what_papers_lack_and_how_a_screen_names_them(course):
    student = StudentFactory(course=course, called="山田 花子", spelled="Yamada Hanako")
    assert (student.missing_letters, student.with_spelling) == ("山, 田, 花, 子", "山田 花子 (Yamada Hanako)")
    plain = StudentFactory(course=course, called="Ελένη")
    assert (plain.missing_letters, plain.with_spelling) == ("", "Ελένη")
