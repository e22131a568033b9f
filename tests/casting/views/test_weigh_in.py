"""The teacher enters, corrects and withdraws a wax for anyone; the numbered rubber bases."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from casting.models import CastingDay, RubberBase, Wax, WaxChange
from casting.services.days import close_hand_in
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, typed


def weigh_in(day):
    return reverse("weigh_in", args=[day.pk])


def correct(wax):
    return reverse("correct_wax", args=[wax.day_id, wax.pk])


@pytest.mark.parametrize("name", ["weigh_in", "correct_wax", "rubber_bases"])
def test_the_cast(name, day, student, teacher_client, student_client, other_teacher_client, stranger_client):
    wax = handed_in(day, student)
    given = {"weigh_in": [day.pk], "correct_wax": [day.pk, wax.pk], "rubber_bases": []}[name]
    address = reverse(name, args=given)
    assert teacher_client.get(address).status_code == 200
    assert student_client.get(address).status_code == stranger_client.get(address).status_code == 302
    # the list of bases is each school's own, and an empty one is a list
    assert other_teacher_client.get(address).status_code == (404 if given else 200)
    assert other_teacher_client.post(address, typed(day)).status_code == (404 if given else 302)


def test_a_wax_is_weighed_in_for_a_student_and_the_next_begins_with_its_metal(day, student, teacher, teacher_client):
    post = typed(day, student=str(student.pk))
    answer = teacher_client.post(weigh_in(day), post, follow=True)
    wax = Wax.objects.get()
    assert (wax.student, wax.wax_g) == (student, Decimal("3.2"))
    change = WaxChange.objects.get()
    assert change.by_person == teacher and change.by_student is None
    text = answer.content.decode()
    assert f'<p class="big-tag">{wax.tag}</p>' in text
    form = answer.context["form"]
    assert (form["alloy"].value(), form["pattern"].value()) == (post["alloy"], post["pattern"])
    assert not form["weight"].value() and not form["student"].value()


def test_the_same_press_twice_writes_one_wax(day, student, teacher_client):
    post = typed(day, student=str(student.pk))
    assert [teacher_client.post(weigh_in(day), post).status_code for _nth in range(2)] == [302, 302]
    assert Wax.objects.count() == 1


def test_a_doubt_is_asked_once_and_saved_when_pressed_again(day, student, teacher_client):
    # half a ring 22 mm across, 8 mm wide and 1.2 mm thick weighs 0.30 g
    post = typed(day, student=str(student.pk), weight="0.05")
    asked = teacher_client.post(weigh_in(day), post)
    assert asked.status_code == 422 and not Wax.objects.exists()
    assert "0.05\u202fg is very little for that size" in asked.content.decode()
    assert teacher_client.post(weigh_in(day), post | {"seen": asked.context["seen"]}).status_code == 302
    assert Wax.objects.get().wax_g == Decimal("0.05")


def test_what_is_understood_is_echoed_while_the_teacher_types(day, student, teacher_client):
    post = typed(day, student=str(student.pk)) | {"preview": "1"}
    text = teacher_client.post(weigh_in(day), post, headers={"HX-Request": "true"}).content.decode()
    # 3.2 / 0.96 * 10.36 = 34.53
    assert "34.53" in text and "<html" not in text and not Wax.objects.exists()


def test_a_teacher_weighs_in_after_hand_in_is_closed_but_not_after_the_first_pour(day, student, teacher_client):
    close_hand_in(day)
    assert teacher_client.post(weigh_in(day), typed(day, student=str(student.pk))).status_code == 302
    CastingDay.objects.filter(pk=day.pk).update(pour_at=day.pour_at - dt.timedelta(days=22))
    late = teacher_client.post(weigh_in(day), typed(day, student=str(student.pk)))
    assert late.status_code == 409 and Wax.objects.count() == 1
    assert "it takes no more waxes" in late.content.decode()
    assert 'name="weight"' not in teacher_client.get(weigh_in(day)).content.decode()


def test_wrong_figures_are_told_together_and_what_was_typed_stays(day, student, teacher_client):
    post = typed(day, student="", weight="3..2", width_mm="0", section="")
    answer = teacher_client.post(weigh_in(day), post)
    assert answer.status_code == 422 and not Wax.objects.exists()
    assert {"student", "weight", "width_mm", "section"} <= answer.context["form"].errors.keys()
    assert 'value="3..2"' in answer.content.decode()


def test_a_correction_is_kept_with_the_teacher_s_name_and_shown_to_the_student(
    day, student, teacher, teacher_client, student_client
):
    wax = handed_in(day, student)
    assert teacher_client.post(correct(wax), typed(day, weight="3.1", version="1")).status_code == 302
    wax.refresh_from_db()
    assert wax.wax_g == Decimal("3.1") and wax.student == student
    text = student_client.get(reverse("my_waxes")).content.decode()
    assert f"By {teacher.name}, " in text and "weight 3.10\u202fg, was 3.20\u202fg" in text
    assert "weight 3.10" in teacher_client.get(correct(wax)).content.decode()


def test_a_student_s_own_change_is_not_told_to_them_as_the_teacher_s(day, student, student_client):
    handed_in(day, student)
    assert "By " not in student_client.get(reverse("my_waxes")).content.decode()


def test_the_second_of_two_to_save_sees_what_the_first_changed(day, student, teacher_client):
    wax = handed_in(day, student)
    teacher_client.post(correct(wax), typed(day, weight="3.1", version="1"))
    answer = teacher_client.post(correct(wax), typed(day, weight="3.3", version="1"))
    assert answer.status_code == 409 and 'value="3.3"' in answer.content.decode()
    assert "It is now:" in answer.content.decode() and "3.10\u202fg" in answer.content.decode()
    again = typed(day, weight="3.3", version=answer.context["form"]["version"].value())
    assert teacher_client.post(correct(wax), again).status_code == 302
    wax.refresh_from_db()
    assert wax.wax_g == Decimal("3.3")


def test_a_withdrawn_wax_can_be_given_back_from_its_page(day, student, teacher_client):
    wax = handed_in(day, student)
    withdraw(wax, by=student, version=1)
    assert f"Give {wax.tag} back" in teacher_client.get(correct(wax)).content.decode()


def test_an_invested_wax_may_be_corrected_by_the_teacher_alone(day, student, teacher, teacher_client, student_client):
    wax = handed_in(day, student)
    make_plan(day, by=teacher)
    day.flasks.filter(label="A").update(state="invested")
    change = reverse("change_wax", args=[wax.pk])
    post = typed(day, weight="3.1", version="1")
    seen = student_client.post(change, post).context["seen"]
    assert student_client.post(change, post | {"seen": seen}).status_code == 409
    assert teacher_client.post(correct(wax), post).status_code == 302


def test_the_bases_are_kept_and_offered_to_students_too(day, teacher_client, student_client):
    address = reverse("rubber_bases")
    assert teacher_client.post(address, {"bases": "7 12.40\n8 twelve"}).status_code == 422
    assert not RubberBase.objects.exists()
    assert teacher_client.post(address, {"bases": "7 12.40"}).status_code == 302
    assert "7 12.4" in teacher_client.get(address).content.decode()
    text = student_client.get(reverse("hand_in_day", args=[day.pk])).content.decode()
    assert "yes, base 7 of 12.40\u202fg" in text and "yes, another base" in text


def test_the_query_count_does_not_grow_with_the_class(day, teacher_client):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert teacher_client.get(weigh_in(day)).status_code == 200
        return len(asked)

    handed_in(day)
    queries()  # the shelf is read once
    few = queries()
    for _nth in range(6):
        handed_in(day)
    assert queries() == few
