"""A note on the bench, its correction and its taking back, each kept with who, when, before and after."""

import datetime as dt

from django.utils import timezone

from casting.models import BenchChange
from casting.services.running.noting import note, take_back


def test_each_note_keeps_what_stood_before_and_after(day, teacher):
    first = timezone.now().replace(microsecond=0)
    later = first + dt.timedelta(minutes=4)
    for at in (first, first, later):  # the second says nothing new
        note(day, "gauge", "A", at=at, by=teacher, who="Nadia")
    take_back(day, "gauge", "A", by=teacher)
    take_back(day, "gauge", "A", by=teacher)
    one, other = ({"at": at.isoformat(), "who": "Nadia"} for at in (first, later))
    changes = BenchChange.objects.filter(day=day, do="gauge", what="A", by_person=teacher)
    assert list(changes.values_list("before", "after")) == [(None, one), (one, other), (other, None)]
    assert not day.steps_done.exists()


def test_without_a_name_it_is_whoever_noted_it(day, teacher):
    note(day, "gauge", "A", at=timezone.now(), by=teacher)
    assert BenchChange.objects.get().after["who"] == teacher.name
