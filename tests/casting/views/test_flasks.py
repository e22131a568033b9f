"""The flasks page."""

import datetime as dt
import html
import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import Alloy, CastingDay, FlaskSize, Plan, Wax
from casting.selectors.day_file import day_values_of
from casting.services.flasks import fix_flask
from casting.services.waxes import withdraw
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, too_much_gold
from tests.days.written_plans import as_text, plan_of_24, plan_of_one


def store(day, teacher, files, revision=1):
    """A plan written by hand, as the database keeps it."""
    plan_text, day_text = as_text(*files)
    return Plan.objects.create(day=day, revision=revision, plan_file=plan_text, day_file=day_text, made_by=teacher)


@pytest.fixture
def address(day):
    return reverse("flasks", args=[day.pk])


def test_a_teacher_sees_the_flasks(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    page = teacher_client.get(address)
    assert page.status_code == 200
    assert page.context["sheet"].flask("A").charge_g == 50.0
    assert re.search(r'<dd class="figure">50\.0<span class="unit">g</span>', page.content.decode())


def test_a_teacher_of_another_school_finds_nothing(day, teacher, other_teacher_client, address):
    store(day, teacher, plan_of_one())
    assert other_teacher_client.get(address).status_code == 404


@pytest.mark.parametrize("who", ["student_client", "classmate_client", "stranger_client"])
def test_nobody_else_sees_them(day, teacher, address, who, request):
    store(day, teacher, plan_of_one())
    page = request.getfixturevalue(who).get(address)
    assert page.status_code == 302 and "next=" in page["Location"]


def test_a_day_that_is_not_there_is_not_found(teacher_client, day):
    assert teacher_client.get(reverse("flasks", args=[day.pk + 1])).status_code == 404


def test_without_a_plan_the_page_says_the_next_step(day, teacher_client, address):
    page = teacher_client.get(address).content.decode()
    assert "No plan yet" in page and reverse("waxes", args=[day.pk]) in page


def test_a_stop_whose_waxes_are_left_out_is_told_and_does_not_stop_the_plan(day, teacher, teacher_client, address):
    copper = Alloy.objects.get(school=day.course.school, key="copper")
    day.alloys.add(copper)
    handed_in(day, alloy=copper)
    handed_in(day)
    make_plan(day, teacher)
    page = teacher_client.get(address).content.decode()
    assert "Above 1100" in page and "Every wax it is about is left out" in page
    assert "stops this plan" not in page and "This one cannot be cleared" not in page


def test_the_working_is_one_press_away(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    page = teacher_client.get(address).content.decode()
    working = re.search(r'<details class="working".*?</details>', page, re.DOTALL).group()
    # 3.20 g / 0.96 x 10.36 = 34.53 g, button 15.00 g, 49.53 up to the next 0.5.
    for part in ("3.20\u202fg wax / 0.96", "10.36 = 34.53\u202fg", "15.00\u202fg = 49.53\u202fg", "0.5 g = 50.0 g"):
        assert part in working
    assert "from a slow estimate of investment's conductivity" in html.unescape(working).lower()


def test_waxes_are_called_what_their_students_call_them(day, teacher, teacher_client, address):
    wax = handed_in(day, what="leaf ring")
    Wax.objects.filter(pk=wax.pk).update(tag="w1")
    store(day, teacher, plan_of_one())
    page = teacher_client.get(address).content.decode()
    assert f"{wax.student.called}, leaf ring" in page


def test_a_wax_left_out_has_its_reason(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    assert "58 mm tall; the tallest flask takes 34.6 mm." in teacher_client.get(address).content.decode()


def test_a_wax_left_out_with_a_second_choice_is_cast_in_it_by_one_press(day, student, teacher, teacher_client, address):
    handed_in(day, student)
    wax = too_much_gold(day, student)
    make_plan(day, by=teacher)
    page = teacher_client.get(address).content.decode()
    assert "would also take silicon bronze" in page and f'id="second-{wax.tag}"' in page
    press = reverse("take_second", args=[day.pk, wax.pk])
    assert teacher_client.post(press, {"version": "1", "page": "flasks"}).url == address
    assert Wax.objects.get(pk=wax.pk).alloy.key == "si-bronze"


def test_no_flask_at_all_is_called_no_proof(day, student, teacher, teacher_client, address):
    handed_in(day, student)
    FlaskSize.objects.update(offered=False)
    make_plan(day, by=teacher)
    page = teacher_client.get(address).content.decode()
    assert "Every wax is left out." in page
    assert "cannot be done in fewer." not in page


def test_why_it_cannot_be_fewer_stands_on_top(day, teacher, teacher_client, address):
    store(day, teacher, plan_of_one())
    assert "cannot be done in fewer, because" in teacher_client.get(address).content.decode()


def test_a_school_in_ounces_reads_grams_as_well(day, teacher, teacher_client, address):
    school = day.course.school
    school.weight_unit, school.temperature_unit, school.length_unit = "ozt", "F", "in"
    school.save()
    store(day, teacher, plan_of_one())
    page = teacher_client.get(address).content.decode()
    # 50.0 / 31.1034768 = 1.6076 up; 538 C = 1000.4 F down.
    assert "1.608\u202fozt" in page and ">50.0 g<" in page and ">1000<" in page and "2½ × 2½ in" in page


def test_a_plan_that_still_holds_raises_no_alarm(day, teacher, teacher_client, address):
    handed_in(day)
    make_plan(day, by=teacher)
    assert "have changed since" not in teacher_client.get(address).content.decode()


def test_a_plan_older_than_its_waxes_says_so(day, teacher, teacher_client, address):
    handed_in(day)
    make_plan(day, by=teacher)
    handed_in(day, what="late signet")
    page = teacher_client.get(address).content.decode()
    assert "have changed since revision 1" in page and reverse("make_plan", args=[day.pk]) in page


def test_what_a_student_types_stays_text(day, teacher, teacher_client, address):
    wax = handed_in(day, what="<script>alert(1)</script>{{ x }}")
    Wax.objects.filter(pk=wax.pk).update(tag="w1")
    store(day, teacher, plan_of_one())
    page = teacher_client.get(address).content.decode()
    assert "<script>alert" not in page and "&lt;script&gt;alert(1)&lt;/script&gt;{{ x }}" in page


@pytest.mark.parametrize("name", ["flasks", "day_plan"])
def test_24_waxes_ask_no_more_of_the_database_than_one(
    day, teacher, teacher_client, name, django_assert_max_num_queries
):
    first, second = day, CastingDay.objects.create(course=day.course, pour_at=day.pour_at)
    second.alloys.set(first.alloys.all())
    store(first, teacher, plan_of_one())
    store(second, teacher, plan_of_24())
    for opened in (first, second):
        teacher_client.get(reverse(name, args=[opened.pk]))
    with django_assert_max_num_queries(40) as few:
        teacher_client.get(reverse(name, args=[first.pk]))
    with django_assert_max_num_queries(len(few)):
        teacher_client.get(reverse(name, args=[second.pk]))


def test_a_flask_whose_wax_was_withdrawn_offers_both_ways(day, student, teacher, teacher_client, address):
    wax = handed_in(day, student)
    plan = make_plan(day, by=teacher)
    withdraw(wax, by=student, version=wax.version)
    mark = reverse("mark_flask", args=[day.pk, "A"])
    posted = {"state": "invested", "revision": plan.revision}
    asked = teacher_client.post(mark, posted)
    page = asked.content.decode()
    assert asked.status_code == 422 and not day.states()
    assert f"Wax {wax.tag} was withdrawn after this plan was made." in page
    assert "A is invested, with its waxes as planned" in page and reverse("make_plan", args=[day.pk]) in page
    assert teacher_client.post(mark, posted | {"as_planned": "yes"}).status_code == 302
    assert day.states() == {"A": "invested"}
    assert f"{wax.what} (withdrawn)" in teacher_client.get(address).content.decode()


def test_the_time_a_flask_was_invested_is_corrected_on_the_school_s_clock(
    day, student, teacher, teacher_client, other_teacher_client, address
):
    handed_in(day, student)
    make_plan(day, by=teacher)
    correct = reverse("invested_at", args=[day.pk, "A"])
    zone = day.course.school.tz

    def typed(at):
        return {"at": f"{at.astimezone(zone):%Y-%m-%dT%H:%M}"}

    def said(posted):
        return unescape(teacher_client.post(correct, posted, follow=True).content.decode())

    now = timezone.now()
    assert "Flask A is not invested. Mark it as invested first." in said(typed(now))
    fix_flask(day, "A", "invested", by=teacher)
    first = day.steps_done.get().done_at
    assert "Flask A cannot have been invested on " in said(typed(now + dt.timedelta(minutes=5)))
    assert "that is more than a day before " in said(typed(now - dt.timedelta(days=1, minutes=5)))
    assert "Write the day and the time it was invested." in said({"at": ""})
    assert "That is no day and time. Write it as in" in said({"at": "noon"})
    assert other_teacher_client.post(correct, typed(now)).status_code == 404
    assert day.steps_done.get().done_at == first
    half_an_hour_ago = (now - dt.timedelta(minutes=30)).replace(second=0, microsecond=0)
    assert f'value="{typed(half_an_hour_ago)["at"]}"' in said(typed(half_an_hour_ago))
    assert day.steps_done.get().done_at == half_an_hour_ago
    assert day_values_of(day)["invested_at"]["A"].startswith(typed(half_an_hour_ago)["at"])
