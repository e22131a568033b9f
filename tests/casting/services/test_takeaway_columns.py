"""The columns of a file's rows: a right value of each kind is read, a wrong one refused in a sentence."""

import datetime as dt
import uuid
from decimal import Decimal

import pytest

from casting.calc.values.errors import Refused
from casting.models import Alloy, CastingDay, FlaskSize, Kiln, SafetyRecord, Wax
from casting.services.takeaway_columns import reader_of, row_named, rows_named
from school.models import School, Student

KEY = "5f9e3f2c-7f0b-4c3e-9d55-0a4e6d0a9f11"
RIGHT = [
    (Wax, "what", "signet ring", "signet ring"),
    (Wax, "wax_g", "3.2", Decimal("3.2")),
    (Wax, "key", KEY, uuid.UUID(KEY)),
    (Wax, "own_metal", True, True),
    (Wax, "version", 3, 3),
    (Wax, "thickest_mm", None, None),
    (Wax, "section", "thin", "thin"),
    (CastingDay, "pour_at", "2027-03-10T19:05:00+01:00", dt.datetime(2027, 3, 10, 18, 5, tzinfo=dt.UTC)),
    (CastingDay, "opens", "18:30:00", dt.time(18, 30)),
    (CastingDay, "sizes_used", None, None),
    (CastingDay, "sizes_used", ["a"], ["a"]),
    (CastingDay, "own_hours", {}, {}),
    (FlaskSize, "diameter_mm", 64, 64.0),
    (Kiln, "delayed_start", None, None),
    (SafetyRecord, "melter", None, None),
    (School, "currency", "", ""),
]
WRONG = [
    (Wax, "what", 5, "it must be text"),
    (Wax, "what", "x" * 81, "at most 80 characters"),
    (Wax, "wax_g", 3.2, "it must be a number in quotes"),
    (Wax, "wax_g", "NaN", "it must be a number in quotes"),
    (Wax, "wax_g", "3.20001", "no more than 4 decimal places"),
    (Wax, "key", "5", "it must be a key"),
    (Wax, "own_metal", 1, "it must be true or false"),
    (Wax, "version", True, "it must be a whole number"),
    (Wax, "version", 10**20, "less than or equal"),
    (Wax, "thick_parts", -1, "greater than or equal to 0"),
    (Wax, "section", "thick", "it is not known here; take one of: very_thin, thin"),
    (Wax, "withdrawn_at", "2027-03-10T19:05:00", "it must be a moment"),
    (CastingDay, "pour_at", None, "it must be a moment"),
    (CastingDay, "opens", "25:00", "it must be a time"),
    (CastingDay, "sizes_used", {}, "it must be a list"),
    (CastingDay, "own_hours", [], "it must be an object"),
    (FlaskSize, "diameter_mm", "64", "it must be a number without quotes"),
    (FlaskSize, "diameter_mm", True, "it must be a number without quotes"),
    (FlaskSize, "key", "a key", "letters, numbers, underscores or hyphens"),
    (Alloy, "sources", {"pour_c": 5}, "5 stands here"),
    (SafetyRecord, "adults", 1000, "less than or equal to 999"),
    (School, "zone", "Mars/Base", "Mars/Base is not a time zone"),
    (Student, "called", "", "must not be blank"),
]


def column(model, name):
    return next(one for one in model._meta.get_fields() if one.name == name)


@pytest.mark.parametrize(("model", "name", "value", "read"), RIGHT)
def test_a_right_value_is_read(model, name, value, read):
    assert reader_of(column(model, name))(value, "here") == read


@pytest.mark.parametrize(("model", "name", "value", "sentence"), WRONG)
def test_a_wrong_value_is_refused_at_its_place(model, name, value, sentence):
    with pytest.raises(Refused) as refused:
        reader_of(column(model, name))(value, "waxes[0].here")
    assert refused.value.place.startswith("waxes[0].here") and sentence in refused.value.sentence


def test_a_row_is_named_by_its_id_in_the_file():
    assert row_named({1: 12}, null=False)(1, "here") == 12 and row_named({}, null=True)(None, "here") is None
    assert rows_named({1: 12, 2: 9})([2, 1], "here") == [9, 12]
    for value in (2, "1", True, None, 1.0):
        with pytest.raises(Refused, match="no row of the file has this id"):
            row_named({1: 12}, null=False)(value, "here")
    with pytest.raises(Refused, match=r"here\[1\]"):
        rows_named({1: 12})([1, 2], "here")
