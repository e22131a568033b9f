"""An announced casting day, changed."""

import datetime as dt
import json
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import Alloy, CastingDay, DayChange, Plan
from casting.selectors.day_file import day_values_of
from tests.casting.planned import make_plan
from tests.casting_factories import DayFactory, handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory


@pytest.fixture
def day(course):
    # 15:00 in UTC is 10:00 or 11:00 in New York: never a time that the clocks skip.
    noon = (timezone.now() + dt.timedelta(days=30)).replace(hour=15, minute=0, second=0, microsecond=0)
    day = DayFactory(course=course, pour_at=noon)
    day.alloys.set(Alloy.objects.filter(school=course.school, key="sterling"))
    return day


@pytest.fixture
def address(day):
    return reverse("change_day", args=[day.pk])


def typed(day, **changes):
    local = day.pour_at.astimezone(day.course.school.tz)
    return {
        "version": CastingDay.objects.get(pk=day.pk).version,
        "pour_on": local.date().isoformat(),
        "pour_time": f"{local:%H:%M}",
        "alloys": [alloy.pk for alloy in day.alloys.all()],
        "all_sizes": "on",
        "all_kilns": "on",
        **changes,
    }


def save_it_so(client, address, values):
    """Save what has effects: the page comes back once with them, and the same button saves."""
    answer = client.post(address, values)
    assert answer.status_code == 200 and "Save it so" in answer.content.decode()
    return client.post(address, values | {"effects": answer.context["effects_seen"]})


def test_the_form_shows_the_day_as_it_was_announced(teacher_client, day, address):
    page = teacher_client.get(address).content.decode()
    assert f'value="{typed(day)["pour_on"]}"' in page and f'value="{typed(day)["pour_time"]}"' in page


def test_a_later_pour_keeps_the_waxes(teacher_client, day, address):
    wax = handed_in(day)
    later = (day.pour_at + dt.timedelta(days=1)).astimezone(day.course.school.tz).date().isoformat()
    answer = save_it_so(teacher_client, address, typed(day, pour_on=later))
    assert answer.status_code == 302
    before = day.pour_at
    day.refresh_from_db()
    # A day later on the school's clock; the clocks may change in the night between.
    assert abs(day.pour_at - before - dt.timedelta(days=1)) <= dt.timedelta(hours=1)
    assert list(day.waxes.all()) == [wax]


def test_a_day_is_not_moved_into_the_past(teacher_client, day, address):
    answer = teacher_client.post(address, typed(day, pour_on="2020-05-04"))
    assert answer.status_code == 422
    assert "That pour is past" in unescape(answer.content.decode())
    before = day.pour_at
    day.refresh_from_db()
    assert day.pour_at == before


def test_hand_in_that_has_closed_may_stay_closed(teacher_client, day, address):
    day.hand_in_closes_at = timezone.now().replace(second=0, microsecond=0) - dt.timedelta(days=1)
    day.save()
    closed = day.hand_in_closes_at.astimezone(day.course.school.tz)
    same = typed(day, closes_on=closed.date().isoformat(), closes_time=f"{closed:%H:%M}")
    assert teacher_client.post(address, same).status_code == 302


def test_only_the_school_s_teachers_change_a_day(
    student_client, classmate_client, other_teacher_client, stranger_client, day, address
):
    for client in (student_client, classmate_client, stranger_client):
        assert client.post(address, typed(day)).status_code in {302, 404}
    assert other_teacher_client.post(address, typed(day)).status_code == 404
    before = day.pour_at
    day.refresh_from_db()
    assert day.pour_at == before


def test_a_gloss_off_measured_today_is_kept_and_shown_again(teacher_client, day, address):
    assert 'name="gloss_off_min"' in teacher_client.get(address).content.decode()
    assert teacher_client.post(address, typed(day, gloss_off_min="8.5")).status_code == 302
    day.refresh_from_db()
    assert day.gloss_off_min == 8.5 and 'value="8.5"' in teacher_client.get(address).content.decode()
    assert teacher_client.post(address, typed(day, gloss_off_min="")).status_code == 302
    day.refresh_from_db()
    assert day.gloss_off_min is None


@pytest.mark.parametrize(
    ("minutes", "said"),
    [("0", "within a minute"), ("570", "60 at most"), ("soon", "Write minutes, like 8.5."), ("-5", "within a minute")],
)
def test_a_gloss_off_that_cannot_be_is_refused_at_its_field(teacher_client, day, address, minutes, said):
    answer = teacher_client.post(address, typed(day, gloss_off_min=minutes))
    assert answer.status_code == 422 and said in answer.context["form"].errors["gloss_off_min"][0]
    day.refresh_from_db()
    assert day.gloss_off_min is None


def test_the_bench_of_one_day_is_kept_apart_from_the_house_rules(teacher_client, day, address):
    page = teacher_client.get(address).content.decode()
    assert "Empty: as the house rules say, 3." in page and "Empty: as the house rules say, 400." in page
    assert teacher_client.post(address, typed(day, torches="2", hands="4", melt_w="550")).status_code == 302
    day.refresh_from_db()
    assert day.own_bench() == {"torches": 2, "hands": 4, "melt_w": 550}
    rules = day_values_of(day)["rules"]
    assert (rules["torches"], rules["hands"], rules["melt_w"], rules["pitch_min"]) == (2, 4, 550, 8)
    assert teacher_client.post(address, typed(day, torches="", hands="", melt_w="")).status_code == 302
    day.refresh_from_db()
    assert day.own_bench() == {} and day_values_of(day)["rules"]["hands"] == 3
    assert 'name="torches"' not in teacher_client.get(reverse("new_day")).content.decode()


@pytest.mark.parametrize(("name", "value"), [("torches", "0"), ("torches", "1.5"), ("hands", "-1"), ("melt_w", "5")])
def test_a_bench_that_cannot_be_is_refused_at_its_field(teacher_client, day, address, name, value):
    answer = teacher_client.post(address, typed(day, **{name: value}))
    assert answer.status_code == 422 and name in answer.context["form"].errors
    day.refresh_from_db()
    assert day.own_bench() == {}


def test_a_day_that_is_not_announced_yet_has_no_mix_to_measure(teacher_client, day):
    assert 'name="gloss_off_min"' not in teacher_client.get(reverse("new_day")).content.decode()


def test_a_day_uses_some_kilns_and_says_so_when_it_is_opened_again(teacher_client, day, address):
    some = typed(day, kilns_used=["k2"], sizes_used=["51x64", "64x64"])
    del some["all_kilns"], some["all_sizes"]
    assert teacher_client.post(address, some).status_code == 302
    day.refresh_from_db()
    assert (day.kilns_used, day.sizes_used) == (["k2"], ["51x64", "64x64"])
    form = teacher_client.get(address).context["form"]
    assert (form["all_kilns"].value(), form["kilns_used"].value()) == (False, ["k2"])
    assert teacher_client.post(address, typed(day)).status_code == 302
    day.refresh_from_db()
    assert (day.kilns_used, day.sizes_used) == (None, None)


def test_a_change_of_the_equipment_is_told_as_other_changes_are(teacher_client, teacher, day, address):
    """The plan stays as it is and is said to be outdated; made again it uses that kiln alone."""
    handed_in(day)
    (firing,) = make_plan(day, teacher).file["firings"]
    other = {"k1": "k2", "k2": "k1"}[firing["kiln"]]
    flasks = reverse("flasks", args=[day.pk])
    before = teacher_client.get(flasks).context["opened"].is_outdated
    some = typed(day, kilns_used=[other])
    del some["all_kilns"]
    save_it_so(teacher_client, address, some)
    assert (before, teacher_client.get(flasks).context["opened"].is_outdated) == (False, True)
    teacher_client.post(reverse("make_plan", args=[day.pk]))
    assert [one["kiln"] for one in Plan.objects.latest_of(day).file["firings"]] == [other]


def test_no_kiln_at_all_is_refused(teacher_client, day, address):
    none = typed(day)
    del none["all_kilns"]
    answer = teacher_client.post(address, none)
    assert answer.status_code == 422 and "Tick all, or at least one kiln." in answer.content.decode()


@pytest.fixture
def colleague_client(school):
    return client_of_teacher(PersonFactory(school=school, name="Marit Oslund"))


def opened_by(client, address):
    """What a browser would post of the page as it stands, nothing touched."""
    context = client.get(address).context
    boxes = {name: texts for name, texts in json.loads(context["seen"]).items() if texts}
    return boxes | {"version": context["version"], "seen": context["seen"]}


def test_a_pour_set_to_another_hour_does_not_fall_back_silently(teacher_client, colleague_client, day, address):
    """Trial A3: two teachers open the page; one moves the pour, then the other saves the old page."""
    bronze = Alloy.objects.get(school=day.course.school, key="si-bronze")
    first, second = opened_by(colleague_client, address), opened_by(teacher_client, address)
    (was,) = first["pour_time"]
    assert colleague_client.post(address, first | {"pour_time": "14:00"}).status_code == 302
    answer = teacher_client.post(address, second | {"alloys": [*second["alloys"], bronze.pk]})
    page = answer.content.decode()
    assert answer.status_code == 409 and "Somebody else has saved this meanwhile" in page
    assert f"First pour: it was {was} and is now 14:00." in page and "Saved by Marit Oslund." in page
    day.refresh_from_db()
    assert f"{day.pour_local():%H:%M}" == "14:00" and day.alloys.count() == 1
    form = answer.context["form"]
    assert form["pour_time"].value() == "14:00" and str(bronze.pk) in form["alloys"].value()
    again = {name: form[name].value() for name in form.fields if form[name].value()}
    again |= {"version": answer.context["version"], "seen": answer.context["seen"]}
    assert teacher_client.post(address, again).status_code == 302
    day.refresh_from_db()
    assert f"{day.pour_local():%H:%M}" == "14:00" and day.alloys.count() == 2


def test_one_after_the_other_nobody_is_stopped(teacher_client, colleague_client, day, address):
    assert (
        colleague_client.post(address, opened_by(colleague_client, address) | {"pour_time": "14:00"}).status_code == 302
    )
    assert teacher_client.post(address, opened_by(teacher_client, address) | {"on_call": "Imre"}).status_code == 302
    day.refresh_from_db()
    assert (f"{day.pour_local():%H:%M}", day.on_call) == ("14:00", "Imre")


def test_a_post_without_a_version_writes_nothing(teacher_client, day, address):
    answer = teacher_client.post(address, {"pour_time": "14:00"})
    assert answer.status_code == 409 and "older than what is saved" in answer.content.decode()
    assert answer.context["form"]["pour_time"].value() == "14:00" and not DayChange.objects.exists()


def test_who_changed_what_stands_below_the_form(teacher_client, teacher, day, address):
    (was,) = opened_by(teacher_client, address)["pour_time"]
    teacher_client.post(address, typed(day, pour_time="14:00", kilns_used=["k2"], all_kilns=""))
    teacher_client.post(address, typed(day, pour_time="14:00"))
    CastingDay.objects.get(pk=day.pk)
    last, first = teacher_client.get(address).context["history"]
    assert first.who == teacher.name and "first pour" in first.words and f"{was}" in first.words
    assert last.words.startswith("kilns all, was ")
    assert "kilns all, was" in teacher_client.get(address).content.decode()


def test_what_follows_is_told_once_and_nothing_is_saved_before(teacher_client, teacher, day, address):
    wax = handed_in(day)
    make_plan(day, teacher)
    bronze = Alloy.objects.get(school=day.course.school, key="si-bronze")
    answer = teacher_client.post(address, typed(day, alloys=[bronze.pk], pour_time="14:00"))
    page = answer.content.decode()
    assert "Nothing is saved yet. Saved so:" in page and "Its plan will be out of date: make it again." in page
    assert f"is no longer offered, but waxes in it stay and are planned: {wax.tag}." in page
    day.refresh_from_db()
    assert day.changes.count() == 0 and [alloy.key for alloy in day.alloys.all()] == ["sterling"]
    # What follows is not the same any more: it is told anew.
    seen = {"effects": answer.context["effects_seen"]}
    other = teacher_client.post(address, typed(day, alloys=[bronze.pk], pour_time="15:00") | seen)
    assert other.status_code == 200 and day.changes.count() == 0
    assert teacher_client.post(address, typed(day, alloys=[bronze.pk], pour_time="14:00") | seen).status_code == 302
    assert day.changes.count() == 1


def test_a_change_from_which_nothing_follows_saves_at_once(teacher_client, teacher, day, address):
    handed_in(day)
    make_plan(day, teacher)
    assert teacher_client.post(address, typed(day, on_call="Marit Oslund, 555 0142")).status_code == 302
    day.refresh_from_db()
    assert day.on_call == "Marit Oslund, 555 0142"


def test_a_pour_that_has_begun_may_stay_where_it_is_but_not_be_moved_into_the_past(teacher_client, day, address):
    day.pour_at = timezone.now().replace(second=0, microsecond=0) - dt.timedelta(hours=30)
    day.save()
    assert teacher_client.post(address, typed(day, on_call="Marit Oslund")).status_code == 302
    sooner = (day.pour_local() - dt.timedelta(days=1)).date().isoformat()
    assert teacher_client.post(address, typed(day, pour_on=sooner)).status_code == 422
