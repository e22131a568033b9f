"""The forms of a casting day: local times become instants, and what cannot be is refused."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from casting.forms.days import HoldForm, as_typed, instant

DENVER = ZoneInfo("America/Denver")


def test_a_local_time_becomes_an_instant():
    # Denver is 7 h behind UTC in winter.
    assert instant(dt.date(2027, 1, 12), dt.time(10), DENVER) == dt.datetime(2027, 1, 12, 17, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("day", "at", "said"),
    [
        # The second Sunday of March and the first of November, at 2 o'clock (US Code, title 15, section 260a).
        (dt.date(2027, 3, 14), dt.time(2, 30), "there is no 02:30"),
        (dt.date(2027, 11, 7), dt.time(1, 30), "the clocks show 01:30 twice"),
    ],
)
def test_a_time_that_is_skipped_or_shown_twice_is_refused(day, at, said):
    with pytest.raises(ValidationError, match=said):
        instant(day, at, DENVER)


def test_an_announced_day_reads_as_it_was_typed(day):
    day.pour_at, day.hand_in_closes_at = dt.datetime(2027, 1, 12, 17, tzinfo=dt.UTC), None
    typed = as_typed(day, DENVER)
    assert (typed["pour_on"], typed["pour_time"]) == (dt.date(2027, 1, 12), dt.time(10))
    assert typed["closes_on"] is None and typed["closes_time"] is None


@pytest.mark.parametrize(("typed", "label"), [("b", "B"), (" c2 ", "C2"), ("", "")])
def test_a_flask_to_keep_a_wax_in_is_read_in_capitals(typed, label):
    form = HoldForm({"label": typed})
    assert form.is_valid() and form.cleaned_data["label"] == label


@pytest.mark.parametrize("typed", ["ABCD", "A-1", "Ä"])
def test_what_is_no_label_is_refused(typed):
    assert not HoldForm({"label": typed}).is_valid()
