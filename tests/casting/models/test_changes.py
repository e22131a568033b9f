"""A change keeps what it was, also after who made it has left."""

from casting.models import DayChange, SafetyChange
from casting.services.safety import keep_record


def test_a_change_outlives_the_one_who_made_it(day, teacher):
    change = DayChange.objects.create(day=day, by_person=teacher, before={"on_call": ""}, after={"on_call": "Imre"})
    teacher.delete()
    change.refresh_from_db()
    assert (change.by_person, change.after, str(change)) == (None, {"on_call": "Imre"}, f"change {change.pk}")


def test_a_record_s_change_keeps_only_the_answers_that_changed(school, teacher):
    keep_record(school, {"eyewash": True, "adults": 2}, by=teacher)
    keep_record(school, {"eyewash": True, "adults": 3}, by=teacher)
    last = SafetyChange.objects.last()
    assert (last.before, last.after) == ({"adults": 2}, {"adults": 3})
