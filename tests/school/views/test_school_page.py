"""The school's own page: who sees it, what it refuses, two teachers at once, and another time zone."""

import datetime as dt

import pytest
from django.urls import reverse

from casting.models import CastingDay
from school.forms.school_page import SchoolForm, as_shown
from school.forms.versioned import boxes_of, seen_as
from school.models import School
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory

ADDRESS = "/school/"
NINE_IN_NEW_YORK = dt.datetime(2999, 7, 1, 13, tzinfo=dt.UTC)  # New York keeps UTC-4 in July


def typed(school, **changed):
    shown = {"version": str(school.version), "seen": seen_as(boxes_of(SchoolForm(None, school=school)))}
    return shown | {name: str(value) for name, value in as_shown(school).items()} | changed


def saved(school):
    return School.objects.get(pk=school.pk)


def test_teachers_see_their_own_school(
    school, teacher_client, other_teacher_client, student_client, classmate_client, stranger_client
):
    assert 'value="Tidewater Bench School"' in teacher_client.get(ADDRESS).content.decode()
    assert "Tidewater" not in other_teacher_client.get(ADDRESS).content.decode()
    for client in (student_client, classmate_client, stranger_client):
        assert client.get(ADDRESS).url.startswith(reverse("sign_in"))
        assert client.post(ADDRESS, typed(school, name="X")).url.startswith(reverse("sign_in"))
    assert saved(school).name == "Tidewater Bench School"


def test_nobody_saves_the_school_of_another(school, other_teacher, other_teacher_client):
    other_teacher_client.post(ADDRESS, typed(other_teacher.school, name="Salt"))
    assert saved(school).name == "Tidewater Bench School"
    assert saved(other_teacher.school).name == "Salt"


def test_each_unit_is_chosen_on_its_own(school, teacher_client, teacher):
    sent = typed(school, weight_unit="dwt", temperature_unit="C", length_unit="in", paper="Letter", currency="eur")
    assert teacher_client.post(ADDRESS, sent).url == ADDRESS
    now = saved(school)
    assert (now.weight_unit, now.temperature_unit, now.length_unit) == ("dwt", "C", "in")
    assert (now.paper, now.currency, now.version, now.changed_by) == ("Letter", "EUR", 2, teacher.name)


@pytest.mark.parametrize(
    ("height", "unit", "kept"),
    [("1609", "m", 1609), ("5280", "ft", 1609), ("-20", "m", -20), ("", "m", None), ("0", "ft", 0), ("12", "m", 12)],
)  # 5280 ft x 0.3048 m = 1609.3 m
def test_a_height_is_kept_in_metres(height, unit, kept, school, teacher_client):
    teacher_client.post(ADDRESS, typed(school, elevation=height, elevation_unit=unit))
    assert saved(school).elevation_m == kept


def test_a_height_shown_in_feet_is_not_worn_off_by_saving(school, teacher_client):
    School.objects.filter(pk=school.pk).update(length_unit="in", elevation_m=1234)
    for _time in range(3):
        page = teacher_client.get(ADDRESS).content.decode()
        assert 'value="4049"' in page  # 1234 / 0.3048 = 4048.6
        teacher_client.post(ADDRESS, typed(saved(school), name=f"{saved(school).name} x"))
    assert saved(school).elevation_m == 1234


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", " ", "Give the school its name."),
        ("name", "x" * 121, "at most 120"),
        ("zone", "Port Ellery", "is not a time zone"),
        ("elevation", "high", "Write the height as a number"),
        ("elevation", "9000", "You wrote 9000 m. Towns lie between -430 and 5500 m."),
        ("elevation", "NaN", "Write the height as a number"),
        ("elevation", "1e400", "no more than 9 digits"),
        ("elevation_unit", "mile", "Select a valid choice"),
        ("weight_unit", "kg", "Select a valid choice"),
        ("temperature_unit", "K", "Select a valid choice"),
        ("length_unit", "cm", "Select a valid choice"),
        ("paper", "A3", "Select a valid choice"),
        ("currency", "$", "$ is not the code of a currency"),
        ("currency", "euros", "Write three letters, such as USD or EUR."),
    ],
)
def test_a_mistake_is_told_at_its_field_and_nothing_is_saved(field, value, said, school, teacher_client):
    page = teacher_client.post(ADDRESS, typed(school, **{field: value, "town": "Salt Cove"}))
    assert page.status_code == 422
    assert any(said in error for error in page.context["form"].errors[field]), page.context["form"].errors
    assert 'value="Salt Cove"' in page.content.decode()
    assert saved(school).town == school.town and saved(school).version == 1


def test_the_second_of_two_teachers_sees_what_the_first_saved_and_loses_nothing(school, teacher_client):
    second = client_of_teacher(PersonFactory(school=school, name="Nadia Ferro"))
    first_sent, second_sent = typed(school, town="Salt Cove", paper="Letter"), typed(school, name="Bench School")
    assert second.post(ADDRESS, second_sent).status_code == 302
    page = teacher_client.post(ADDRESS, first_sent)
    body = page.content.decode()
    assert page.status_code == 409 and "Somebody else has saved this meanwhile" in body
    # she changed the name alone: what the first teacher typed stays, and the name is hers
    told = [(one.label, one.before, one.now, one.who, one.both) for one in page.context["since"].moved]
    assert told == [("Name of the school", "Tidewater Bench School", "Bench School", "Saved by Nadia Ferro", False)]
    form = page.context["form"]
    assert (form["town"].value(), form["paper"].value(), form["name"].value()) == (
        "Salt Cove",
        "Letter",
        "Bench School",
    )
    assert saved(school).town == "Port Ellery"
    again = {name: form[name].value() or "" for name in form.fields} | {"version": page.context["version"]}
    assert teacher_client.post(ADDRESS, again).status_code == 302
    now = saved(school)
    assert (now.name, now.town, now.paper, now.version) == ("Bench School", "Salt Cove", "Letter", 3)


@pytest.fixture
def day(course):
    closes = NINE_IN_NEW_YORK - dt.timedelta(days=1)
    return CastingDay.objects.create(course=course, pour_at=NINE_IN_NEW_YORK, hand_in_closes_at=closes)


def test_another_zone_says_first_what_it_does_to_the_days(school, day, teacher_client):
    page = teacher_client.post(ADDRESS, typed(school, zone="America/Denver"))
    body = " ".join(page.content.decode().split())
    assert page.status_code == 200 and saved(school).zone == "America/New_York"
    assert f'<b dir="auto">{day.course.name}</b>: Mon 1 Jul 2999, 09:00 now.' in body
    assert "the clock then shows Mon 1 Jul 2999, 07:00." in body  # Denver keeps UTC-6 in July


@pytest.mark.parametrize(("clock", "hours_later"), [("clock", 2), ("instant", 0)])
def test_the_teacher_says_what_stays(clock, hours_later, school, course, day, teacher_client):
    last_day = course.last_day()
    assert teacher_client.post(ADDRESS, typed(school, zone="America/Denver", clock=clock)).status_code == 302
    later = dt.timedelta(hours=hours_later)
    now = CastingDay.objects.get(pk=day.pk)
    assert (now.pour_at, now.hand_in_closes_at) == (day.pour_at + later, day.hand_in_closes_at + later)
    course.refresh_from_db()
    assert clock == "instant" or course.last_day() == last_day


@pytest.mark.parametrize("zone", ["America/Detroit", "US/Eastern"])
def test_a_zone_with_the_same_clock_asks_nothing(zone, school, day, teacher_client):
    assert teacher_client.post(ADDRESS, typed(school, zone=zone)).status_code == 302
    assert CastingDay.objects.get(pk=day.pk).pour_at == day.pour_at


def test_the_page_takes_no_more_queries_for_many_days(school, day, teacher_client, django_assert_num_queries):
    with django_assert_num_queries(3):  # session, teacher with school, school
        teacher_client.get(ADDRESS)
    for nth in range(20):
        CastingDay.objects.create(course=day.course, pour_at=NINE_IN_NEW_YORK + dt.timedelta(days=nth))
    with django_assert_num_queries(4):  # and the days
        teacher_client.post(ADDRESS, typed(school, zone="America/Denver"))


def test_the_page_comes_in_spanish(teacher_client):
    body = teacher_client.get(ADDRESS, headers={"accept-language": "es"}).content.decode()
    assert "Altura sobre el mar" in body and "Height" not in body
