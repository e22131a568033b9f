"""What a mishap does to the pours to come, and that a plan made again does not wait for a flask that is lost."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import Flask, FlaskMishap
from casting.selectors.day_file import day_values_of
from casting.selectors.mishaps import mishaps_of, not_before, not_to_pour
from casting.services.flasks import fix_flask
from casting.services.running.mishaps import Met, note_mishap

NOON = dt.datetime(2027, 5, 8, 12, tzinfo=dt.UTC)


def met(label, kind, left, at=NOON):
    return FlaskMishap(label=label, kind=kind, left=left, at=at)


def test_a_flask_that_is_cracked_or_fell_too_far_is_not_poured_and_one_that_is_poured_is():
    mishaps = [met("A", "cracked", "unpoured"), met("B", "power", "cold"), met("C", "power", "hot")]
    mishaps += [met("D", "late", "late_10"), met("E", "cracked", "unpoured")]
    states = {"A": "invested", "B": "invested", "C": "invested", "D": "invested", "E": Flask.State.POURED}
    assert not_to_pour(mishaps, states) == {"A", "B"}


@pytest.mark.parametrize(
    ("planned_min", "left", "waits_min"),
    [(30, "late_10", 40), (30, "late_40", 70), (-5, "late_20", 20)],
    ids=["so much later than planned", "40 min", "its time was over: so much later than it was noted"],
)
def test_a_late_flask_comes_so_much_later(planned_min, left, waits_min):
    planned = {"A": NOON + dt.timedelta(minutes=planned_min)}
    found = not_before([met("A", "late", left), met("B", "late", left), met("A", "power", "hot")], planned)
    assert found == {"A": NOON + dt.timedelta(minutes=waits_min)}


def test_the_day_file_has_it_among_what_is_done_and_keeps_its_waxes(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    assert "poured" not in day_values_of(planned)
    note_mishap(planned, Met("cracked", ("A",), "unpoured", timezone.now()), by=teacher)
    values = day_values_of(planned)
    assert values["poured"] == values["fixed"] == ["A"] and len(values["waxes"]) == 3
    assert [one.label for one in mishaps_of(planned)] == ["A"]
