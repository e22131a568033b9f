"""Past days: which count, and how many queries they take."""

import pytest
from django.utils import timezone

from casting.models import CastingDay
from casting.selectors.looking_back.past_days import past_days
from tests.casting.account_days import lot_of
from tests.casting.past_days import earlier, poured, read, weighed

pytestmark = pytest.mark.django_db


def test_a_day_to_come_one_cancelled_and_a_rehearsal_are_no_past_days(planned, school):
    assert past_days(school) == []
    past = earlier(planned, 7)
    assert [one.day for one in past_days(school)] == [past]
    CastingDay.objects.filter(pk=past.pk).update(cancelled_at=timezone.now())
    assert past_days(school) == []
    CastingDay.objects.filter(pk=past.pk).update(cancelled_at=None)
    type(past.course).objects.filter(pk=past.course_id).update(is_rehearsal=True)
    assert past_days(school) == []


def test_many_days_take_as_many_queries_as_one(planned, school, teacher, django_assert_num_queries):
    lot = lot_of(school, teacher, grams="2000")
    for back in (7, 14, 21):
        past = earlier(planned, back)
        weighed(past, lot, teacher, "18")
        poured(past, 6)
        read(past, (560, 720))
        with django_assert_num_queries(8):
            found = past_days(school)
    assert len(found) == 3
    latest = found[0]
    assert latest.day.pour_at > found[1].day.pour_at
    (flask,) = latest.flasks
    assert flask.all_cast and flask.label == "A" and len(flask.waxes) == 3
    assert latest.readings["k1"][0][1] == 720.0


def test_another_school_has_none_of_them(planned, other_teacher):
    earlier(planned, 7)
    assert past_days(other_teacher.school) == []
