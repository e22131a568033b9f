"""Hours of single days: typed where they differ, read back as typed, refused where they cannot be."""

import datetime as dt

import pytest
from django import forms

from casting.forms.own_hours import as_typed, own_fields, read_own, rows_of

POUR = dt.date(2027, 3, 14)


def a_form(**typed):
    form = type("Own", (forms.Form,), own_fields())(typed)
    form.is_valid()
    return form


def test_only_days_that_differ_are_kept_by_their_date():
    form = a_form(own1_opens="09:00", own1_closes="18:30", own2_nobody="on")
    own = read_own(form, POUR)
    assert own == {"2027-03-13": ["09:00", "18:30"], "2027-03-12": None} and not form.errors
    typed = as_typed(own, POUR)
    assert (typed["own1_opens"], typed["own1_closes"]) == (dt.time(9), dt.time(18, 30))
    assert typed["own2_nobody"] and not typed["own0_nobody"]


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"own0_opens": "09:00"}, "own0_closes", "Give both"),
        ({"own0_opens": "09:00", "own0_closes": "09:00"}, "own0_closes", "must leave later"),
        ({"own1_opens": "09:00", "own1_nobody": "on"}, "own1_nobody", "not both"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(typed, field, says):
    form = a_form(**typed)
    assert read_own(form, POUR) == {}
    assert says in form.errors[field][0]


def test_each_day_has_a_row_on_the_page():
    assert [(str(called), opens.name) for called, opens, _closes, _nobody in rows_of(a_form())] == [
        ("Day of the pour", "own0_opens"),
        ("Day before", "own1_opens"),
        ("Two days before", "own2_opens"),
    ]
