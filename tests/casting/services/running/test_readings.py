"""A kiln's readings: written down in the school's unit with who and when, refused with a sentence, taken away."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import BenchChange, KilnReading
from casting.models.errors import NotPlanned
from casting.services.running.readings import note_reading, take_away_reading


@pytest.fixture
def kiln(planned):
    return planned.plans.first().file["firings"][0]["kiln"]


def test_a_reading_is_written_down_once_for_its_moment_and_taken_away(planned, kiln, teacher):
    at = timezone.now() - dt.timedelta(minutes=3)
    for _again in range(2):
        note_reading(planned, kiln, "371,5", by=teacher, at=at)
    row = KilnReading.objects.get(day=planned)
    assert (float(row.celsius), row.at, row.by) == (371.5, at, teacher)
    for _again in range(2):
        take_away_reading(planned, row.pk, by=teacher)
    assert not KilnReading.objects.exists()
    (made, gone) = BenchChange.objects.filter(do="reading", what=kiln)
    assert made.after == gone.before == {"at": at.isoformat(), "who": teacher.name, "celsius": 371.5}
    assert (made.before, gone.after) == (None, None)


def test_a_school_in_fahrenheit_types_fahrenheit(planned, kiln, teacher, school):
    """1350 F is 732.2 C: (1350 - 32) x 5 / 9."""
    type(school).objects.filter(pk=school.pk).update(temperature_unit="F")
    planned.course.school.refresh_from_db()
    note_reading(planned, kiln, "1350", by=teacher)
    assert float(KilnReading.objects.get().celsius) == 732.2


@pytest.mark.parametrize(
    ("typed", "said"),
    [("", "Nothing is entered"), ("hot", "“hot”"), ("7320", "is hotter than any kiln here"), ("-5", "“-5”")],
)
def test_what_is_no_reading_is_refused(planned, kiln, teacher, typed, said):
    with pytest.raises(NotPlanned, match=said):
        note_reading(planned, kiln, typed, by=teacher)
    assert not KilnReading.objects.exists()


def test_a_reading_to_come_or_of_another_kiln_is_refused(planned, kiln, teacher):
    with pytest.raises(NotPlanned, match="Set this tablet's clock"):
        note_reading(planned, kiln, "300", by=teacher, at=timezone.now() + dt.timedelta(minutes=5))
    with pytest.raises(NotPlanned, match="The plan fires no such kiln"):
        note_reading(planned, "k9", "300", by=teacher)
    note_reading(planned, kiln, "300", by=teacher, at=timezone.now() + dt.timedelta(seconds=20))
    assert KilnReading.objects.get().at <= timezone.now()
