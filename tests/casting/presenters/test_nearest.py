"""Changes offered on the pages: each followed by its press gives what it said; a day put back is as it was."""

import datetime as dt
import json
import re
from html import unescape

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import CastingDay, FlaskSize, HouseRules, Kiln, PatternMaterial, Plan, Search
from casting.presenters.day_history import history_of_day
from casting.presenters.formats import day_clock
from casting.presenters.nearest import nearest_of
from casting.selectors.day_file import rules_of
from casting.selectors.searches import status_of
from tests.casting_factories import DayFactory, handed_in
from tests.factories import StudentFactory


@pytest.fixture
def late(course):
    """A pour in five hours where it is past seven in the morning now: the evening of the day can still be offered."""
    now = timezone.now()
    course.school.zone = f"Etc/GMT{(now.hour - 7 + 11) % 24 - 11:+}"  # west of Greenwich is +
    course.school.save()
    pour_at = (now + dt.timedelta(hours=5)).replace(second=0, microsecond=0)
    day = DayFactory(course=course, pour_at=pour_at)
    handed_in(day)
    return day


def press(client, day, query):
    """The form as the link fills it in, saved."""
    page = client.get(reverse("change_day", args=[day.pk]) + "?" + query)
    form = page.context["form"]
    values = {name: form[name].value() for name in form.fields}
    typed = {name: value if value is not None else "" for name, value in values.items() if name != "alloys"}
    typed = {name: value for name, value in typed.items() if value is not False}
    typed["alloys"] = [alloy.pk for alloy in day.alloys.all()]
    typed = {name: f"{v:%H:%M}" if isinstance(v, dt.time) else v for name, v in typed.items()}
    typed["version"] = page.context["version"]
    told = client.post(reverse("change_day", args=[day.pk]), typed)
    if told.status_code == 302:
        return told
    return client.post(reverse("change_day", args=[day.pk]), typed | {"effects": told.context["effects_seen"]})


def make(client, day):
    return client.post(reverse("make_plan", args=[day.pk]), follow=True).content.decode()


@pytest.fixture
def rings(course):
    """Eight rings in two large flasks, half an hour too late; in four small ones, fired shorter, in time."""
    pour_at = (timezone.now() + dt.timedelta(hours=16, minutes=30)).replace(second=0, microsecond=0)
    day = DayFactory(course=course, pour_at=pour_at, sizes_used=["51x64", "76x76"])
    for _nth in range(8):
        handed_in(day)
    return day


@pytest.fixture
def slow_kiln(course):
    """A resin in the slower kiln alone, on a day on which waxes are to be taken until a little later."""
    pour_at = (timezone.now() + dt.timedelta(days=9)).replace(hour=15, minute=0, second=0, microsecond=0)
    closes = {"opens": "05:00", "closes": "23:00", "hand_in_until": "16:50"}
    day = DayFactory(course=course, pour_at=pour_at, kilns_used=["k2"], **closes)
    day.refresh_from_db()
    handed_in(day, section="very_thin")
    handed_in(day, section="heavy", pattern=PatternMaterial.objects.get(school=course.school, key="print-resin"))
    return day


QUERY = r'change/\?((?:pour_on|closes|opens|hand_in_until|sizes_used|kilns_used|all_kilns)=[^"]+)"'


@pytest.mark.parametrize(
    ("which", "words"),
    [("late", "First pour"), ("rings", "Smaller flasks only: 51x64"), ("slow_kiln", "Use the kilns Kiln 1, Kiln 2")],
)
def test_each_change_offered_gives_its_figures_when_it_is_taken(teacher_client, request, which, words):
    day = request.getfixturevalue(which)
    page = make(teacher_client, day)
    assert "What would work" in page and words in page
    row = CastingDay.objects.values().get(pk=day.pk)
    offers = json.loads(Search.objects.get().found)["offers"]
    queries = [unescape(query) for query in re.findall(QUERY, page)]
    assert len(offers) == len(queries) >= 2
    for offer, query in zip(offers, queries, strict=True):
        assert press(teacher_client, day, query).status_code == 302
        make(teacher_client, day)
        plan = Plan.objects.latest_of(CastingDay.objects.get(pk=day.pk))
        taken = {
            "kiln_on_at": min(step["at"] for step in plan.file["steps"] if step["do"] == "kiln_on"),
            "hand_in_closes_at": min(step["at"] for step in plan.file["steps"] if step["do"] == "hand_in_closes"),
            "last_pour_at": max(flask["out_at"] for flask in plan.file["flasks"]),
            "last_quench_at": max(flask["quench_at"] for flask in plan.file["flasks"]),
            "flasks": len(plan.file["flasks"]),
        }
        assert {name: offer[name] for name in taken} == taken
        Plan.objects.all().delete()
        CastingDay.objects.filter(pk=day.pk).update(**row)


@pytest.fixture
def slow_bench(course):
    """Seven flasks of 45 g, each of somebody's own metal, and a torch of 50 W: `tests.casting.worker.test_nearest`."""
    pour_at = (timezone.now() + dt.timedelta(days=9)).replace(hour=15, minute=0, second=0, microsecond=0)
    day = DayFactory(course=course, pour_at=pour_at, sizes_used=["51x64"])
    FlaskSize.objects.filter(school=course.school).update(count=8)
    rules = HouseRules.objects.get(school=course.school)
    HouseRules.objects.filter(pk=rules.pk).update(rules=rules.rules | {"melt_w": 50, "hands": 1})
    for _nth in range(7):
        handed_in(day, StudentFactory(course=course), own_metal=True)
    return day


def test_one_more_torch_is_offered_with_the_last_pour_beside_it_and_taken_for_the_day_alone(teacher_client, slow_bench):
    page = unescape(make(teacher_client, slow_bench))
    offers = json.loads(Search.objects.get().found)["offers"]
    assert [offer["what"] for offer in offers] == ["torches", "melt_w"]
    assert "2 torches of the same heat, with somebody at each (2 pairs of hands)" in page
    assert "A stronger torch, with 100 W into the metal" in page
    # 18 minutes earlier: 48 after the first pour, where it is 66.
    first = slow_bench.pour_local()
    early, late = (first + dt.timedelta(minutes=late) for late in (48, 66))
    assert f"last pour {day_clock(early)} instead of {day_clock(late)}" in page
    assert press(teacher_client, slow_bench, "torches=2&hands=2").status_code == 302
    day = CastingDay.objects.get(pk=slow_bench.pk)
    assert (day.torches, day.hands, day.melt_w) == (2, 2, None)
    page = unescape(make(teacher_client, day))
    plan = Plan.objects.latest_of(day)
    assert dt.datetime.fromisoformat(plan.file["totals"]["last_pour_at"]) == early
    assert (plan.day_values["rules"]["torches"], plan.day_values["rules"]["hands"]) == (2, 2)
    assert "of the same heat" not in page
    house = HouseRules.objects.get(school=day.course.school).rules
    assert (house["torches"], house["hands"]) == (1, 1)
    told = history_of_day(day)[-1].words
    assert "torches" in told and "pairs of hands" in told and "heat into the metal" not in told
    # What the teacher says of this day is not from memory, whatever the house rules are.
    day.melt_w = 300
    assert "melt_w" in plan.day_values["rules"]["from_memory"] and "melt_w" not in rules_of(day)["from_memory"]


def test_a_bench_that_was_changed_since_is_offered_no_torch(teacher_client, slow_bench):
    make(teacher_client, slow_bench)
    CastingDay.objects.filter(pk=slow_bench.pk).update(torches=2)
    day = CastingDay.objects.get(pk=slow_bench.pk)
    assert nearest_of(day, status_of(day), Plan.objects.latest_of(day)) is None


def test_a_link_only_fills_the_form_in(teacher_client, late):
    before = CastingDay.objects.values().get(pk=late.pk)
    page = teacher_client.get(reverse("change_day", args=[late.pk]) + "?pour_on=2031-01-02&pour_time=11:58&alloys=1")
    body = page.content.decode()
    assert 'value="2031-01-02"' in body and 'value="11:58"' in body and "Nothing is changed until you save" in body
    assert CastingDay.objects.values().get(pk=late.pk) == before


def test_a_day_that_was_changed_and_refused_can_be_put_back(teacher_client, course):
    pour_at = (timezone.now() + dt.timedelta(days=9)).replace(second=0, microsecond=0)
    day = DayFactory(course=course, pour_at=pour_at)
    handed_in(day)
    make(teacher_client, day)
    assert Plan.objects.get().revision == 1
    CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() + dt.timedelta(hours=4))
    page = make(teacher_client, day)
    assert "Revision 1 was planned for a first pour" in page
    query = unescape(re.findall(r'\?(pour_on[^"]+)"', page)[-1])
    press(teacher_client, CastingDay.objects.get(pk=day.pk), query)
    assert CastingDay.objects.get(pk=day.pk).pour_at == pour_at


def test_a_day_that_works_offers_nothing(teacher_client, course):
    day = DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=9))
    handed_in(day)
    assert "What would work" not in make(teacher_client, day)
    assert nearest_of(day, status_of(day), Plan.objects.latest_of(day)) is None


def test_offers_of_a_day_that_has_been_changed_since_are_gone(teacher_client, late):
    make(teacher_client, late)
    assert nearest_of(late, status_of(late), None) is not None
    late.pour_at += dt.timedelta(days=3)
    late.save()
    assert nearest_of(late, status_of(late), None) is None


def test_a_day_put_back_has_its_kilns_again(teacher_client, course):
    day = DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=9))
    handed_in(day)
    make(teacher_client, day)
    late = timezone.now() + dt.timedelta(hours=4)
    CastingDay.objects.filter(pk=day.pk).update(pour_at=late, kilns_used=["k2"])
    page = make(teacher_client, day)
    assert "with Kiln 1, Kiln 2" in page
    press(teacher_client, CastingDay.objects.get(pk=day.pk), unescape(re.findall(r'\?(pour_on[^"]+)"', page)[-1]))
    assert CastingDay.objects.get(pk=day.pk).kilns_used is None


@pytest.mark.parametrize("changed", [{"kilns_used": ["k1"]}, {"sizes_used": ["51x64"]}, {"kilns_used": ["gone"]}])
def test_offers_of_a_day_whose_equipment_has_been_changed_since_are_gone(teacher_client, late, changed):
    make(teacher_client, late)
    CastingDay.objects.filter(pk=late.pk).update(**changed)
    assert nearest_of(CastingDay.objects.get(pk=late.pk), status_of(late), None) is None


def test_a_kiln_is_offered_through_the_page_for_waxes_that_find_no_room(teacher_client, course):
    day = DayFactory(course=course, pour_at=timezone.now() + dt.timedelta(days=9), kilns_used=["k2"])
    Kiln.objects.filter(school=course.school, key="k2").update(width_mm=150, depth_mm=150)
    for _nth in range(9):
        handed_in(day)
    page = make(teacher_client, day)
    assert "Use the kilns Kiln 1, Kiln 2" in page and "no wax left out" in page
    (query,) = re.findall(QUERY, page)
    assert query == "all_kilns=on"
    press(teacher_client, day, query)
    make(teacher_client, day)
    assert not Plan.objects.latest_of(day).file["left_out"]
