"""A school's safety record, kept once for each school."""

import pytest

from casting.models import SafetyRecord
from casting.services.safety import NEW, keep_record
from casting.services.shelf import ChangedMeanwhile


def test_a_school_has_one_record_and_the_last_answers_count(school):
    keep_record(school, {"eyewash": True, "adults": 0, "exits": "the yard"})
    keep_record(school, {"eyewash": None, "co_alarm": False})
    record = SafetyRecord.objects.get()
    assert (record.school, record.eyewash, record.co_alarm) == (school, None, False)
    # What was not asked again stays, a nought as a nought.
    assert (record.adults, record.exits, record.first_aider) == (0, "the yard", None)


def test_another_school_s_record_stays(school, other_teacher):
    keep_record(other_teacher.school, {"eyewash": False})
    keep_record(school, {"eyewash": True})
    assert SafetyRecord.objects.get(school=other_teacher.school).eyewash is False


def test_a_record_that_moved_on_is_not_written(school, teacher):
    keep_record(school, {"eyewash": True}, by=teacher, version=NEW)
    with pytest.raises(ChangedMeanwhile):
        keep_record(school, {"eyewash": None}, by=teacher, version=NEW)
    assert keep_record(school, {"adults": 2}, by=teacher, version=1).version == 2
    assert SafetyRecord.objects.get().eyewash is True
