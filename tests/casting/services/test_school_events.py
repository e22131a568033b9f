"""The casting days hear of what happens in a school."""

import datetime as dt
import zoneinfo

from django.utils import timezone

from casting.models import Alloy, CastingDay, FlaskSize, Investment
from casting.services.school_events import days_ahead
from school.models import School
from school.signals import clock_kept, school_made


def test_a_new_school_has_a_stocked_shelf(school):
    assert not Alloy.objects.filter(school=school).exists()
    school_made.send(sender=School, school=school)
    for rows in (Alloy, FlaskSize, Investment):
        assert rows.objects.filter(school=school).exists()


def test_days_ahead_keep_their_clock_and_those_past_their_moment(course):
    now = timezone.now()
    ahead, past = (CastingDay.objects.create(course=course, pour_at=now + dt.timedelta(days=days)) for days in (9, -9))
    assert days_ahead(course.school) == [(course.name, ahead.pour_at)]
    before = course.school.tz
    School.objects.update(zone="America/Denver")
    school = School.objects.get(pk=course.school_id)
    clock_kept.send(sender=School, school=school, before=before)
    moved = CastingDay.objects.get(pk=ahead.pk)
    in_denver = moved.pour_at.astimezone(zoneinfo.ZoneInfo("America/Denver"))
    assert in_denver.replace(tzinfo=None) == ahead.pour_at.astimezone(before).replace(tzinfo=None)
    assert moved.hand_in_closes_at is None
    assert CastingDay.objects.get(pk=past.pk).pour_at == past.pour_at
