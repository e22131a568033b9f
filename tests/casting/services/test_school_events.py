"""The casting days hear of what happens in a school."""

import datetime as dt
import zoneinfo

import pytest
from django.utils import timezone

from casting.models import (
    Alloy,
    CastingDay,
    DefectPhoto,
    FlaskSize,
    Investment,
    PieceDefect,
    Plan,
    Wax,
    WaxChange,
    WaxPhoto,
)
from casting.presenters.cautions import cautions_of_day, offer_of
from casting.selectors.day_file import day_values_of, is_outdated
from casting.selectors.flasks import flask_contents
from casting.services.flasks import fix_flask
from casting.services.school_events import days_ahead
from casting.services.waxes import withdraw
from school import students
from school.models import School, Student
from school.signals import clock_kept, school_made
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.factories import StudentFactory


def test_a_new_school_has_a_stocked_shelf(school):
    assert not Alloy.objects.filter(school=school).exists()
    school_made.send(sender=School, school=school)
    for rows in (Alloy, FlaskSize, Investment):
        assert rows.objects.filter(school=school).exists()


def test_days_ahead_keep_their_clock_and_those_past_their_moment(course):
    now = timezone.now()
    ahead, past = (CastingDay.objects.create(course=course, pour_at=now + dt.timedelta(days=days)) for days in (9, -9))
    assert days_ahead(course.school) == [(course.name, ahead.pour_at)]
    before = course.school.tz
    School.objects.update(zone="America/Denver")
    school = School.objects.get(pk=course.school_id)
    clock_kept.send(sender=School, school=school, before=before)
    moved = CastingDay.objects.get(pk=ahead.pk)
    in_denver = moved.pour_at.astimezone(zoneinfo.ZoneInfo("America/Denver"))
    assert in_denver.replace(tzinfo=None) == ahead.pour_at.astimezone(before).replace(tzinfo=None)
    assert moved.hand_in_closes_at is None
    assert CastingDay.objects.get(pk=past.pk).pour_at == past.pour_at


@pytest.fixture
def two(day):
    """Two students with a wax each, and a third wax of the first, withdrawn."""
    first, second = StudentFactory(course=day.course), StudentFactory(course=day.course)
    waxes = [handed_in(day, first), handed_in(day, second), handed_in(day, first, what="late signet")]
    waxes[2] = withdraw(waxes[2], by=first, version=1)
    return first, second, waxes


def of(student):
    return {wax.pk: wax.withdrawn_at is not None for wax in Wax.objects.filter(student=student)}


def test_waxes_move_with_a_merge_and_back(teacher, two):
    first, second, (one, other, late) = two
    change = students.merge(teacher, first.pk, second.pk)
    assert of(first) == {} and of(second) == {one.pk: False, other.pk: False, late.pk: True}
    assert Wax.objects.get(pk=one.pk).version == one.version + 1
    assert WaxChange.objects.filter(wax=one, by_person=teacher, after={"student": second.called}).exists()
    students.undo(teacher, change.pk)
    assert of(first) == {one.pk: False, late.pk: True} and of(second) == {other.pk: False}


def test_waxes_of_a_removed_student_are_withdrawn_and_come_back(teacher, two):
    first, _second, (one, _other, late) = two
    change = students.remove(teacher, first.pk)
    assert of(first) == {one.pk: True, late.pk: True}
    students.undo(teacher, change.pk)
    assert of(first) == {one.pk: False, late.pk: True}


def test_a_student_with_an_invested_wax_stays_and_may_be_merged(day, teacher, two):
    first, second, (one, _other, _late) = two
    make_plan(day, by=teacher)
    label = next(label for label, tags in flask_contents(Plan.objects.latest_of(day)).items() if one.tag in tags)
    fix_flask(day, label, "invested", by=teacher)
    with pytest.raises(students.Stays) as refusal:
        students.remove(teacher, first.pk)
    assert refusal.value.sentence.startswith(f"{first.called} stays: wax {one.tag} is invested.")
    assert of(first)[one.pk] is False and Student.objects.here().filter(pk=first.pk).exists()
    students.merge(teacher, first.pk, second.pk)
    assert label in {flask["label"] for flask in make_plan(day, by=teacher).file["flasks"]}


def test_removed_students_do_not_count_for_the_students_per_adult(day, teacher):
    # The demo record that the fixture uses has 2 adults and at most 10 students for each.
    crowd = [StudentFactory(course=day.course) for _student in range(32)]

    def stopped():
        return "R-34b" in {one.id for one in cautions_of_day(day, offer_of(day_values_of(day)))}

    assert stopped()
    for one in crowd[4:]:
        students.remove(teacher, one.pk)
    assert not stopped()


def test_who_is_forgotten_leaves_weights_plan_and_tag_and_no_name(day, student, classmate, teacher):
    wax, other = (handed_in(day, one, note="for my aunt in Bergen") for one in (student, classmate))
    for one in (wax, other):
        WaxPhoto.objects.create(wax=one, sent_as="x", jpeg=b"jpeg", small=b"jpeg")
        defect = PieceDefect.objects.create(wax=one, kind="rough", where="thin")
        DefectPhoto.objects.create(defect=defect, sent_as="x", jpeg=b"jpeg", small=b"jpeg")
    students.merge(teacher, StudentFactory(course=day.course, called="Sunny").pk, student.pk)
    moved = handed_in(day, sunny := StudentFactory(course=day.course, called="Sunny O"))
    students.merge(teacher, sunny.pk, student.pk)
    plan = make_plan(day, by=teacher)
    students.forget(student)
    plan.refresh_from_db()
    kept = {one.tag: one for one in Wax.objects.select_related("student")}
    assert {one.tag for one in (wax, other, moved)} == kept.keys() and not is_outdated(plan)
    assert kept[wax.tag].student.called == kept[moved.tag].student.called == "a student who was forgotten"
    assert kept[other.tag].student.called == "Tobiah Renn"
    said = str(list(WaxChange.objects.values_list("before", "after")))
    assert "Sunn" not in said and "forgotten" in said and said.count("Bergen") == 1
    assert (kept[wax.tag].note, kept[other.tag].note) == ("", "for my aunt in Bergen")
    assert [one.wax for one in WaxPhoto.objects.all()] == [other]
    assert [one.defect.wax for one in DefectPhoto.objects.all()] == [other]
