"""A class and its school are read once and kept; whoever changes them, and however, the next reader knows."""

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from school.kept import CLASSES_KEPT, class_at
from school.models import Course, School, SchoolMark
from tests.conftest import client_of_student
from tests.factories import CourseFactory, SchoolFactory


def mark_of(school):
    return SchoolMark.objects.get(school=school).mark


def kept(course):
    return class_at(course.pk, mark_of(course.school))


def test_a_class_is_kept_with_its_school_and_equals_what_is_read(course):
    first = kept(course)
    with CaptureQueriesContext(connection) as made:
        again = class_at(course.pk, first.school.known_by)
        assert again is first and again.school.name == course.school.name
    assert not made.captured_queries
    read = Course.objects.select_related("school").get(pk=course.pk)
    for model, row, other in ((Course, first, read), (School, first.school, read.school)):
        assert {one.attname: getattr(row, one.attname) for one in model._meta.concrete_fields} == {
            one.attname: getattr(other, one.attname) for one in model._meta.concrete_fields
        }


def test_a_change_is_known_though_no_service_made_it(course):
    kept(course)
    Course.objects.update(name="Another class")
    assert kept(course).name == "Another class"
    School.objects.update(name="Another school")
    assert kept(course).school.name == "Another school"


def test_a_change_of_another_school_changes_no_mark_of_this(course):
    before = kept(course)
    CourseFactory(school=SchoolFactory())
    assert kept(course) is before


def test_a_change_that_is_taken_back_leaves_nothing(course):
    was = kept(course).school.name
    for tried in ("One", "Two"):
        with transaction.atomic():
            School.objects.update(name=tried)
            assert kept(course).school.name == tried
            transaction.set_rollback(True)
        assert kept(course).school.name == was


def test_a_class_that_goes_gives_the_others_a_new_mark_and_a_school_takes_its_own_along(course):
    other = CourseFactory(school=course.school)
    before = mark_of(course.school)
    other.delete()
    assert mark_of(course.school) != before
    gone = SchoolFactory()
    CourseFactory(school=gone)
    gone.delete()
    assert list(SchoolMark.objects.values_list("school_id", flat=True)) == [course.school_id]


def test_without_a_mark_nothing_is_kept(course):
    assert class_at(course.pk, None) is not class_at(course.pk, None)
    assert class_at(course.pk, None).school.known_by == ""


def test_a_page_of_a_student_asks_for_the_session_and_the_student_alone(student):
    phone = client_of_student(student)
    page = reverse("return_code")
    phone.get(page)
    with CaptureQueriesContext(connection) as made:
        phone.get(page)
    asked = [query["sql"] for query in made.captured_queries]
    assert len(asked) == 2 and "django_session" in asked[0] and "school_student" in asked[1]
    Course.objects.update(name="The evening class")
    assert phone.get(page).wsgi_request.student.course.name == "The evening class"


def test_a_few_classes_are_kept(course):
    before, mark = kept(course), mark_of(course.school)
    for nth in range(CLASSES_KEPT):
        class_at(course.pk, f"{mark}-{nth}")
    assert kept(course) is not before
