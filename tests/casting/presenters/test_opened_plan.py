"""A stored plan opened for a page or a paper: each of its parts is read once."""

import pytest
from django.urls import reverse
from django.utils.translation import override

from casting.dayfile import reading
from casting.models import Investment, SafetyRecord
from casting.presenters.opened_plan import OpenedPlan
from casting.services.cautions import clear
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def plan(day, student, teacher):
    handed_in(day, student)
    return make_plan(day, by=teacher)


@pytest.fixture
def readings(monkeypatch):
    """Each reading of a day file, as text or as values: the number of its waxes."""
    waxes, real = [], reading._day

    def counted(values):
        waxes.append(len(values["waxes"]))
        return real(values)

    reading.read_kept.cache_clear()
    monkeypatch.setattr(reading, "_day", counted)
    return waxes


@pytest.mark.parametrize("name", ["flasks", "day_plan"])
def test_a_page_reads_its_day_file_once(plan, teacher_client, readings, name):
    assert teacher_client.get(reverse(name, args=[plan.day_id])).status_code == 200
    assert readings == [1]


def test_the_papers_read_the_plan_s_day_once_and_what_is_offered_now(plan, teacher_client, readings):
    """What the day offers now is read without its waxes."""
    assert teacher_client.get(reverse("papers", args=[plan.day_id])).status_code == 200
    assert sorted(readings) == [0, 1]


def test_what_is_asked_again_is_not_read_again(plan, readings, django_assert_num_queries):
    opened = OpenedPlan(plan)
    first = (opened.sheet, opened.cautions, opened.is_outdated, opened.cleared)
    assert readings == [1]
    with django_assert_num_queries(0):
        assert (opened.sheet, opened.cautions, opened.is_outdated, opened.cleared) == first
    assert readings == [1]


def test_a_plan_whose_day_has_no_powder_now_is_outdated(day, plan):
    assert not OpenedPlan(plan).is_outdated
    Investment.objects.filter(school=day.course.school).update(offered=False)
    assert OpenedPlan(plan).is_outdated


def test_what_was_cleared_is_said_in_the_language_of_each_paper(day, plan):
    SafetyRecord.objects.filter(school=day.course.school).update(first_aider=False)
    clear(day, "R-35", by="Imre Valdane", reason="x" * 200)
    opened = OpenedPlan(plan)
    english = opened.cleared
    with override("es"):
        spanish = opened.cleared
    assert "R-35" in english and opened.cleared == english and opened.held_back == ()
    assert "R-35" in spanish
