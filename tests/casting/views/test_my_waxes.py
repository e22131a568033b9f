"""A student's own list: change, withdraw, bring back, until hand-in closes."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, WaxChange
from casting.services.flasks import fix_flask, note_kiln
from casting.services.running.mishaps import Met, note_mishap
from school.models import Student
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in


def page(client):
    return client.get(reverse("my_waxes"))


def test_a_wax_is_listed_with_the_sprue_it_asks_for(student, student_client, day):
    handed_in(day, student, thickest_mm=Decimal("2.5"), thick_parts=1)
    text = student_client.get(reverse("my_waxes")).content.decode()
    assert "Make its sprue at least 2.5\u202fmm thick" in text and "Measure its thickest part" not in text


def test_what_nobody_measured_is_asked_at_hand_in_and_not_again_in_the_list(student, student_client, day):
    handed_in(day, student)
    text = student_client.get(reverse("my_waxes")).content.decode()
    assert "Measure its thickest part" not in text and "Has it thick parts" not in text


def test_the_list_says_what_a_wax_takes(student, student_client, day):
    wax = handed_in(day, student)
    text = page(student_client).content.decode()
    assert wax.tag in text
    assert "34.53\u202fg" in text  # 3.20 / 0.96 x 10.36 = 34.53 g: worked by hand


def test_a_note_and_a_second_choice_are_told_on_the_list_and_with_the_tag(student, student_client, day):
    wax = handed_in(day, student, second_alloy=day.alloys.get(key="si-bronze"), note="<b>no polish</b>")
    for address in (reverse("my_waxes"), reverse("wax_tag", args=[wax.pk])):
        text = student_client.get(address).content.decode()
        assert "Second choice: silicon bronze." in text and "“&lt;b&gt;no polish&lt;/b&gt;”" in text


def test_the_cast(student, student_client, classmate_client, teacher_client, stranger_client, day):
    wax = handed_in(day, student)
    assert wax.what in page(student_client).content.decode()
    assert wax.what not in page(classmate_client).content.decode()
    assert page(teacher_client).status_code == 302
    assert page(stranger_client).status_code == 302


@pytest.mark.parametrize("name", ["withdraw_wax", "bring_back_wax"])
def test_only_its_student_withdraws_a_wax(student, classmate_client, teacher_client, stranger_client, day, name):
    wax = handed_in(day, student)
    address = reverse(name, args=[wax.pk])
    assert classmate_client.post(address, {"version": 1}).status_code == 404
    assert teacher_client.post(address, {"version": 1}).status_code == 302
    assert stranger_client.post(address, {"version": 1}).status_code == 302
    wax.refresh_from_db()
    assert (wax.withdrawn_at, wax.version) == (None, 1)


def test_the_outbox_is_answered_without_a_page_and_what_came_later_is_not_told_twice(student, student_client, day):
    wax = handed_in(day, student)
    address = reverse("withdraw_wax", args=[wax.pk])
    waited = {"version": 1, "outbox": "1", "later": "1"}
    answers = [student_client.post(address, waited) for _ in range(2)]
    assert [(one.status_code, one["Wax-Tag"], one["Wax-Version"]) for one in answers] == [(200, wax.tag, "2")] * 2
    assert "Changed your mind?" not in page(student_client).content.decode()
    student_client.post(reverse("bring_back_wax", args=[wax.pk]), {"version": 2, "outbox": "1"})
    assert "is handed in again" in page(student_client).content.decode()
    refused = student_client.post(address, {"version": 1, "outbox": "1"})
    assert refused.status_code == 409 and not refused.has_header("Wax-Tag")
    assert refused.content.decode().startswith("This wax was changed on another screen in the meantime.")


def test_a_withdrawn_wax_can_be_brought_back(student, student_client, day):
    wax = handed_in(day, student)
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": 1})
    wax.refresh_from_db()
    assert wax.withdrawn_at
    assert reverse("bring_back_wax", args=[wax.pk]) in page(student_client).content.decode()

    student_client.post(reverse("bring_back_wax", args=[wax.pk]), {"version": 2})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None
    assert [change.after for change in WaxChange.objects.all()][1:] == [{"withdrawn": True}, {"withdrawn": False}]
    assert {change.by_student for change in WaxChange.objects.all()} == {student}


def test_no_state_changes_on_get(student, student_client, day):
    wax = handed_in(day, student)
    assert student_client.get(reverse("withdraw_wax", args=[wax.pk])).url == reverse("my_waxes")
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


def test_after_closing_nothing_can_be_withdrawn(student, student_client, day):
    wax = handed_in(day, student)
    day.closed_at = day.pour_at
    day.save()
    assert reverse("withdraw_wax", args=[wax.pk]) not in page(student_client).content.decode()
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": 1})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


@pytest.mark.parametrize("version", ["", "0", "2", "x", "1e9", "-1", "9" * 30])
def test_a_version_that_was_not_looked_at_withdraws_nothing(student, student_client, day, version):
    wax = handed_in(day, student)
    student_client.post(reverse("withdraw_wax", args=[wax.pk]), {"version": version})
    wax.refresh_from_db()
    assert wax.withdrawn_at is None


def test_twenty_waxes_cost_no_more_queries_than_one(student, student_client, day):
    handed_in(day, student)
    page(student_client)  # the shelf is read once and kept
    with CaptureQueriesContext(connection) as one:
        page(student_client)
    for _ in range(19):
        handed_in(day, student)
    with CaptureQueriesContext(connection) as twenty:
        page(student_client)
    assert len(twenty) == len(one)


def test_markup_in_a_name_stays_text(student, student_client, day):
    handed_in(day, student, what="<b>{{ 7 }}</b>")
    assert "&lt;b&gt;{{ 7 }}&lt;/b&gt;" in page(student_client).content.decode()


def test_open_days_stand_first_the_next_to_pour_on_top_but_that_of_a_piece_before_all(student, student_client, course):
    now = timezone.now()
    far, near, before, long_before = (
        DayFactory(course=course, pour_at=now + dt.timedelta(days=days), closed_at=now if days < 0 else None)
        for days in (30, 3, -3, -30)
    )
    listed = page(student_client)
    assert [one.day for one in listed.context["days"]] == [near, far, before, long_before]
    assert listed.content.decode().count('class="none-yet"') == 1, "the first day alone shows what to do"
    assert listed.content.decode().count("You handed in no wax for this day.") == 2
    handed_in(far, student)
    listed = page(student_client)
    assert [(one.day, one.brief) for one in listed.context["days"]] == [
        (far, False), (near, True), (before, True), (long_before, True)
    ]  # fmt: skip
    assert "none-yet" not in re.sub("<style.*?</style>", "", listed.content.decode(), flags=re.DOTALL)


def test_the_list_says_how_papers_name_a_student_whose_letters_they_lack(student, student_client):
    def body():
        return page(student_client).content.decode()

    rows = Student.objects.filter(pk=student.pk)
    assert reverse("my_name") not in body()
    rows.update(called="山田 花子")
    assert "Our papers cannot print 山, 田, 花, 子 of your name." in body() and f'href="{reverse("my_name")}"' in body()
    rows.update(spelled="Yamada Hanako")
    assert "Yamada Hanako" in body() and "cannot print" not in body()


def test_after_planning_the_list_is_the_slip(student, student_client, teacher, day):
    wax = handed_in(day, student, what="leaf ring")
    plan = make_plan(day, by=teacher)
    text = page(student_client).content.decode()
    (flask,) = plan.file["flasks"]
    when = dt.datetime.fromisoformat(flask["out_at"])
    assert f"Flask {flask['label']}" in text and f"{when:%a %-d %b %Y, %H:%M}" in text
    assert f"with your wax {wax.tag}" in text and 'aria-current="step">planned' in text
    assert "37.98\u202fUSD" in text or "37.99\u202fUSD" in text


def test_nobody_elses_name_or_work_shows(student, student_client, classmate, teacher, day):
    handed_in(day, student)
    other = handed_in(day, classmate, what="secret brooch")
    make_plan(day, by=teacher)
    text = page(student_client).content.decode()
    seen = re.sub(r"<(?!svg|/svg)[^>]*>", " ", text)
    assert not re.search(rf"\b{other.tag}\b", seen)
    assert "secret brooch" not in text and classmate.called not in text


def news(client, mark):
    return client.get(reverse("my_waxes"), {"seen": mark}, headers={"HX-Request": "true"})


def test_a_page_in_sight_hears_only_what_is_new(student, student_client, teacher, day):
    handed_in(day, student)
    mark = page(student_client).context["mark"]
    assert news(student_client, mark).status_code == 204
    marks = [mark]
    plan = make_plan(day, by=teacher)
    for do in (
        lambda: None,
        lambda: fix_flask(day, plan.file["flasks"][0]["label"], "invested", by=teacher),
        lambda: note_kiln(day, plan.file["firings"][0]["kiln"], on=True, by=teacher),
        lambda: note_mishap(day, Met("late", (plan.file["flasks"][0]["label"],), "late_40"), by=teacher),
        lambda: fix_flask(day, plan.file["flasks"][0]["label"], "poured", by=teacher, poured_at=timezone.now()),
        lambda: CastingDay.objects.filter(pk=day.pk).update(closed_at=timezone.now()),
    ):
        do()
        answer = news(student_client, marks[-1])
        assert answer.status_code == 200 and "<html" not in answer.content.decode()
        marks.append(answer.context["mark"])
        assert news(student_client, marks[-1]).status_code == 204
    assert len(set(marks)) == len(marks)


def test_no_news_costs_a_few_queries(student, student_client, teacher, day, django_assert_max_num_queries):
    handed_in(day, student)
    make_plan(day, by=teacher)
    mark = page(student_client).context["mark"]
    with django_assert_max_num_queries(9):
        assert news(student_client, mark).status_code == 204


def test_after_close_of_hand_in_the_piece_is_still_followed(student, student_client, teacher, day):
    handed_in(day, student)
    make_plan(day, by=teacher)
    CastingDay.objects.filter(pk=day.pk).update(closed_at=timezone.now())
    text = page(student_client).content.decode()
    assert "pours about" in text and "Hand-in is closed" in text


def test_what_another_metal_would_take_and_cost_is_one_press_away(student, student_client, day):
    handed_in(day, student)
    text = page(student_client).content.decode()
    assert "Size, metals" in text and "14k yellow, zinc-free" in text


def test_an_own_metal_has_no_price(student, student_client, teacher, day):
    handed_in(day, student, own_metal=True)
    make_plan(day, by=teacher)
    text = page(student_client).content.decode()
    assert "(your own)" in text and "<strong>37.9" not in text


def test_a_cancelled_day_promises_no_pour(student, student_client, teacher, day):
    handed_in(day, student)
    make_plan(day, by=teacher)
    CastingDay.objects.filter(pk=day.pk).update(
        cancelled_at=timezone.now(), cancelled_by="Imre", cancelled_why="no gas"
    )
    text = page(student_client).content.decode()
    assert "no gas" in text and "pours about" not in text


def test_the_calendar_is_the_students_own(student, student_client, classmate_client, other_teacher_client, day):
    answer = student_client.get(reverse("my_calendar", args=[day.pk]))
    assert answer["Content-Type"].startswith("text/calendar")
    assert answer["Content-Disposition"].endswith('.ics"')
    elsewhere = DayFactory()
    assert student_client.get(reverse("my_calendar", args=[elsewhere.pk])).status_code == 404
