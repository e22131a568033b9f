"""The safety record as a row: a column for each fact, of the kind that the fact is."""

import typing

import pytest
from django.db import IntegrityError, models

from casting.calc.cautions.school_record import FACTS
from casting.calc.cautions.school_record import SafetyRecord as Facts
from casting.models import CautionCleared, SafetyRecord
from casting.models.safety import FACT_NAMES, PLACE_NAMES

KINDS = typing.get_type_hints(Facts)
WHOLE = models.PositiveSmallIntegerField
COLUMNS = {bool: models.BooleanField, int: WHOLE, float: (WHOLE, models.FloatField)}


def test_the_columns_are_the_facts_and_the_places():
    columns = [column.name for column in SafetyRecord._meta.fields if column.name not in {"id", "school", "version"}]
    assert columns == [*FACT_NAMES, *PLACE_NAMES]
    assert set(FACTS) - set(FACT_NAMES) == {"students", "elevation_m"}


@pytest.mark.parametrize("name", FACT_NAMES)
def test_a_column_asks_its_fact_s_question_and_holds_its_kind(name):
    column = SafetyRecord._meta.get_field(name)
    kind = typing.get_args(KINDS[name])[0]
    assert column.verbose_name == FACTS[name].question
    assert isinstance(column, COLUMNS.get(kind, models.CharField))
    assert column.null and column.blank
    choices = [(key, str(words)) for key, words in column.choices or ()]
    assert choices == list(FACTS[name].choices)
    assert all(len(key) <= column.max_length for key, _words in choices)


def test_the_record_as_values_leaves_unknown_what_nobody_answered():
    facts = SafetyRecord(eyewash=False, eyewash_s=0).facts(students=7)
    assert (facts.eyewash, facts.eyewash_s, facts.students) == (False, 0, 7)
    assert {name for name in FACT_NAMES if getattr(facts, name) is not None} == {"eyewash", "eyewash_s"}


def test_a_caution_is_cleared_once_in_the_same_words(day):
    CautionCleared.objects.create(day=day, caution="R-35", text="No hot work.", by="Imre Valdane", reason="first")
    CautionCleared.objects.create(day=day, caution="R-35", text="No pickle.", by="Imre Valdane", reason="other words")
    with pytest.raises(IntegrityError, match=r"caution|UNIQUE"):
        CautionCleared.objects.create(day=day, caution="R-35", text="No hot work.", by="Odile Marran", reason="again")


def test_the_height_of_the_school_is_among_the_values(day):
    school = day.course.school
    school.elevation_m = 1609
    assert SafetyRecord(school=school).facts().elevation_m == 1609
    school.elevation_m = None
    assert SafetyRecord(school=school).facts().elevation_m is None
