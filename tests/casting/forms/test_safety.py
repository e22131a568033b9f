"""The form of the safety record: every question once, under its heading; nothing chosen is not recorded."""

import pytest

from casting.calc.cautions.school_record import FACTS
from casting.forms.safety import SafetyForm
from casting.models.safety import FACT_NAMES, PLACE_NAMES


def test_each_question_stands_once_under_the_heading_of_its_fact():
    groups = SafetyForm().groups()
    under = {field.name: str(heading) for heading, fields in groups for field in fields}
    assert sum(len(fields) for _heading, fields in groups) == len(under)
    assert set(under) == {*FACT_NAMES, *PLACE_NAMES}
    assert {name: under[name] for name in FACT_NAMES} == {name: FACTS[name].heading for name in FACT_NAMES}


def test_the_headings_come_in_order_and_the_places_last():
    headings = [str(heading) for heading, _fields in SafetyForm().groups()]
    assert headings[:6] == ["Air, kiln and alarm", "Melting", "Vacuum table", "Help", "What is used", "People"]
    assert headings[6:] == ["Where things are, as printed on the handout"]


@pytest.mark.parametrize("name", FACT_NAMES)
def test_a_question_is_asked_in_the_words_of_its_fact_and_may_stay_open(name):
    form = SafetyForm({})
    assert str(form[name].label) == FACTS[name].question
    assert form.is_valid() and form.cleaned_data[name] is None


def test_a_choice_takes_its_own_answers_alone():
    for key, _words in FACTS["melter"].choices:
        assert SafetyForm({"melter": key}).is_valid()
    assert not SafetyForm({"melter": "bonfire"}).is_valid()


@pytest.mark.parametrize("typed", ["24.6", "24,6", " 24.6 "])
def test_a_dial_is_read_with_a_comma_or_a_point(typed):
    form = SafetyForm({"pump_best": typed, "gauge_unit": "inHg"})
    assert form.is_valid() and form.cleaned_data["pump_best"] == 24.6


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        ("deep", "inHg", "not a number"),
        ("-24", "inHg", "-24.0 is not above 0. Write what the dial shows without a sign"),
        ("0", "mbar", "0.0 is not above 0"),
        ("28", "bar", "28 bar is more than any air presses: 1.1 is the most. Check number and unit."),
        ("nan", "inHg", "not a number"),
    ],
)
def test_a_reading_that_no_gauge_shows_is_refused_with_what_was_typed(typed, unit, said):
    (sentence,) = SafetyForm({"pump_best": typed, "gauge_unit": unit}).errors["pump_best"]
    assert said in sentence
