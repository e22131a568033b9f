"""The page of what past days say: shown, taken by one press, and nobody else's."""

import pytest
from django.urls import reverse

from casting.models import HouseRules
from tests.casting.account_days import lot_of
from tests.casting.past_days import three_days

pytestmark = pytest.mark.django_db
TAKE = {"line": "button-medium", "offered": "18.5"}


@pytest.fixture
def past(planned, school, teacher):
    return three_days(planned, lot_of(school, teacher, grams="2000"), teacher)


def pct(school):
    return HouseRules.objects.get(school=school).button_pct["medium"]


def test_the_page_shows_median_quartiles_and_how_many_beside_the_default(past, teacher_client):
    text = " ".join(teacher_client.get(reverse("learning")).content.decode().split())
    assert "18.5 %" in text and "18.3 % to 18.8 %" in text and "now 15 %" in text
    assert "10.50 g more metal weighed out" in text and "These are few" in text
    assert "Plan by 18.5 %" in text and "Nobody noted when the gloss went." in text


def test_nothing_is_taken_before_planned_days_are_named_and_then_with_one_press(past, school, teacher_client):
    answer = teacher_client.post(reverse("take_learned"), TAKE)
    text = answer.content.decode()
    assert "These days are planned already" in text and "Its plan will be out of date" in text
    assert pct(school) == 15
    answer = teacher_client.post(reverse("take_learned"), TAKE | {"effects": answer.context["seen"]}, follow=True)
    assert pct(school) == 18.5 and "Plans now go by 18.5\u202f%" in answer.content.decode()
    assert "Plans go by it already." in answer.content.decode()


def test_what_is_not_offered_is_not_taken(past, planned, school, teacher_client):
    planned.delete()
    answer = teacher_client.post(reverse("take_learned"), TAKE | {"offered": "3"}, follow=True)
    assert "have changed since this page was opened" in answer.content.decode() and pct(school) == 15
    for wrong in ({"line": "nothing"}, {"offered": "much"}, {"offered": "nan"}):
        assert teacher_client.post(reverse("take_learned"), TAKE | wrong).status_code in (302, 404)
    assert pct(school) == 15
    teacher_client.post(reverse("take_learned"), TAKE)
    assert pct(school) == 18.5


def test_another_school_sees_none_of_it_and_takes_none(past, school, other_teacher_client):
    assert "18.5" not in other_teacher_client.get(reverse("learning")).content.decode()
    assert other_teacher_client.post(reverse("take_learned"), TAKE).status_code == 404
    assert pct(school) == 15
