"""The database refuses what a school cannot be."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from school.models import Course, Person, School, Student
from tests.factories import CourseFactory, PersonFactory, SchoolFactory, StudentFactory


@pytest.mark.parametrize(
    "wrong",
    [
        {"weight_unit": "kg"},
        {"temperature_unit": "K"},
        {"paper": "A3"},
        {"elevation_m": 9000},  # above every town
        {"elevation_m": -500},  # below the shore of the Dead Sea
    ],
)
def test_a_school_with_a_setting_outside_the_list_is_refused(db, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        SchoolFactory(**wrong)


def test_a_height_that_nobody_gave_stays_unknown(db):
    assert SchoolFactory(elevation_m=None).elevation_m is None


def test_a_time_zone_must_exist(db):
    with pytest.raises(ValidationError, match="Port/Ellery"):
        SchoolFactory.build(zone="Port/Ellery").full_clean()


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


def test_the_last_day_to_join_is_a_day_of_the_school(course):
    assert isinstance(course.school, School)
    # Midnight that ends 30 June in New York (UTC-4 in summer) is 04:00 UTC on the first of July.
    course.open_until = course.open_until.replace(year=2027, month=7, day=1, hour=4, minute=0, second=0)
    assert course.last_day().isoformat() == "2027-06-30"


def test_a_teachers_name_is_printed_as_spelled_only_where_papers_lack_its_letters(db):
    teacher = PersonFactory(name="山田 花子", spelled="Yamada Hanako")
    assert teacher.printed_name == "Yamada Hanako"
    assert PersonFactory(name="Łukasz Żak", spelled="Lukasz Zak").printed_name == "Łukasz Żak"
    teacher.spelled = "花子"
    with pytest.raises(ValidationError) as refusal:
        teacher.clean()
    assert "cannot print 花, 子" in refusal.value.message_dict["spelled"][0]


def test_a_student_knows_what_papers_lack_and_how_a_screen_names_them(course):
    student = StudentFactory(course=course, called="山田 花子", spelled="Yamada Hanako")
    assert (student.missing_letters, student.with_spelling) == ("山, 田, 花, 子", "山田 花子 (Yamada Hanako)")
    plain = StudentFactory(course=course, called="Ελένη")
    assert (plain.missing_letters, plain.with_spelling) == ("", "Ελένη")
