"""The day plan page."""

import re
from datetime import datetime

import pytest
from django.urls import reverse

from casting.models import Flask, Kiln
from tests.casting.calc.cautions.cases import one_flask_day
from tests.casting.planned import make_plan
from tests.casting.views.test_flasks import store
from tests.casting_factories import handed_in
from tests.days.day_file import planned
from tests.days.written_plans import plan_of_24, plan_of_none, plan_of_one


@pytest.fixture
def address(day):
    return reverse("day_plan", args=[day.pk])


def text_of(page):
    """The page's words with its white space as single spaces."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.content.decode()))


def test_a_teacher_sees_the_day(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_24())
    page = teacher_client.get(address)
    assert page.status_code == 200
    assert reverse("day_plan_pdf", args=[day.pk]) in page.content.decode()


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, address):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.get(address).status_code == 404


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])
def test_nobody_else_sees_it(day, teacher, address, who, request):
    store(day, teacher, plan_of_one())
    page = request.getfixturevalue(who).get(address)
    assert page.status_code == 302 and "next=" in page["Location"]


@pytest.fixture
def calendar_address(day):
    return reverse("day_calendar", args=[day.pk])


def test_a_teacher_takes_the_day_into_a_calendar(day, teacher, teacher_client, address, calendar_address):
    store(day, teacher, plan_of_one())
    assert calendar_address in teacher_client.get(address).content.decode()
    answer = teacher_client.get(calendar_address)
    assert answer["Content-Type"].startswith("text/calendar")
    # The school's day, by its own clock.
    assert answer["Content-Disposition"] == 'attachment; filename="casting-day-2027-03-14.ics"'
    assert answer.content.count(b"BEGIN:VEVENT") >= 5


def test_nobody_else_takes_it(day, teacher, other_teacher_client, calendar_address, request):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.get(calendar_address).status_code == 404
    for who in ("student_client", "classmate_client", "stranger_client"):
        answer = request.getfixturevalue(who).get(calendar_address)
        assert answer.status_code == 302 and "next=" in answer["Location"]


def test_without_a_plan_there_is_no_calendar(teacher_client, calendar_address):
    assert teacher_client.get(calendar_address).status_code == 404


def test_without_a_plan_the_page_says_the_next_step(day, teacher_client, address):
    assert "No plan yet" in teacher_client.get(address).content.decode()


def test_every_bowl_is_in_the_mix_table(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_24())
    text = text_of(teacher_client.get(address))
    # Two flasks of 283 g and 113.2 g each.
    assert "Sat 17:05 A, B 566 g 226.4 g 17:13" in text


def test_a_quench_is_told_as_not_before_its_time(day, teacher, teacher_client, address):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    text = text_of(teacher_client.get(address))
    quench = datetime.fromisoformat(plan.file["flasks"][0]["quench_at"])
    assert "quench, not before" in text
    assert text.count(f"{quench:%a %H:%M}") == 2  # beside its pour, and at the head as the last flask cleaned out
    assert "Quench it in water once its button shows no red" in text


def test_the_kiln_goes_on_with_its_weekday(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    # 755 minutes before 10:00 at UTC-6, at UTC-7: 20:25 the evening before.
    assert "Kiln k1 on: Sat 20:25" in text_of(teacher_client.get(address))


def test_flasks_pour_in_order(day, teacher, teacher_client, address):
    plan, day_file = plan_of_24()
    plan["flasks"].reverse()
    store(day, teacher, (plan, day_file))
    page = teacher_client.get(address)
    assert [flask.label for flask in page.context["sheet"].flasks] == list("ABCDEFGH")


def test_each_step_is_said_once(day, teacher, teacher_client, address):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    page = text_of(teacher_client.get(address))
    assert page.count("Mount 1 wax on 1 base") == page.count("Load A into Kiln 1") == page.count("Hand-in closes:") == 1
    assert page.count("rise to 149") == page.count("fall to ") == 1
    # The drawing is there once, too: a kiln's top heat stands on its line and in its table.
    (night,) = plan.file["firings"]
    top = max(segment["to_c"] for segment in night["segments"])
    assert page.replace("\u202f", " ").count(f"{top:g} °C") == 2


@pytest.mark.parametrize(("kind", "told"), [("stones", 1), ("wax", 0)])
def test_a_flask_with_stones_is_kept_out_of_the_water(day, teacher, teacher_client, address, kind, told):
    plan, day_file = plan_of_one()
    plan["flasks"][0]["kind"] = kind
    store(day, teacher, (plan, day_file))
    text = text_of(teacher_client.get(address))
    assert text.count("Do not quench flask A: its stones would crack.") == told
    assert text.count("Quench it in water once its button shows no red") == 1 - told


# 538 C, 102 x 102 mm, 15 min out of the kiln: the core is at some 512 C; 64 x 64 mm: at 386 C
@pytest.mark.parametrize(("diameter_mm", "times"), [(101.6, 1), (63.5, 0)])
def test_a_core_that_is_hot_at_its_quench_stands_under_its_pour(
    day, teacher, teacher_client, address, diameter_mm, times
):
    day_file = one_flask_day(diameter_mm, 10)
    store(day, teacher, (planned(day_file), day_file))
    text = text_of(teacher_client.get(address))
    assert text.count("Wait until 10:17 to quench A: at 10:15 its core is still about 512") == times


def test_a_change_of_the_clocks_is_said(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    assert "Sun 02:00 → 03:00, clock forward 1\u00a0h." in text_of(teacher_client.get(address)).replace(
        "1 h", "1\u00a0h"
    )


@pytest.mark.parametrize("name", ["flasks", "day_plan"])
def test_a_day_without_a_wax_has_its_page(day, teacher, teacher_client, name):
    store(day, teacher, plan_of_none())
    assert teacher_client.get(reverse(name, args=[day.pk])).status_code == 200


def test_a_teacher_notes_that_a_kiln_is_on(day, teacher, teacher_client, other_teacher_client, address):
    handed_in(day)
    kiln = make_plan(day, by=teacher).file["firings"][0]["kiln"]
    mark = reverse("mark_kiln", args=[day.pk])
    assert other_teacher_client.post(mark, {"kiln": kiln}).status_code == 404
    assert "On since " not in teacher_client.get(address).content.decode()
    teacher_client.post(mark, {"kiln": kiln, "do": "on"})
    assert "On since " in teacher_client.get(address).content.decode()
    teacher_client.post(mark, {"kiln": kiln, "do": "undo"})
    assert not day.steps_done.exists()
    assert "The plan fires no such kiln." in teacher_client.post(mark, {"kiln": "k9"}, follow=True).content.decode()


def test_what_a_kiln_that_is_on_needs_no_more_is_struck(day, teacher, teacher_client, address):
    handed_in(day)
    plan = make_plan(day, by=teacher)
    (flask,), kiln = plan.file["flasks"], plan.file["firings"][0]["kiln"]
    day.flasks.filter(label=flask["label"]).update(state=Flask.State.INVESTED)
    assert "<s>Load " not in teacher_client.get(address).content.decode()
    teacher_client.post(reverse("mark_kiln", args=[day.pk]), {"kiln": kiln, "do": "on"})
    page = teacher_client.get(address).content.decode()
    assert "<s>Load " in page and "On since " in page


def test_a_kiln_has_the_name_that_the_school_wrote(day, teacher, teacher_client, address):
    Kiln.objects.at(day.course.school).update(name="small kiln by the door")
    handed_in(day)
    make_plan(day, by=teacher)
    assert "small kiln by the door on: " in teacher_client.get(address).content.decode()
