"""A flask marked as poured: what speaks against it is asked about once, with its figures."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.calc.values.enums import Do
from casting.models import Flask
from casting.models.errors import NotPlanned
from casting.services.flasks import fix_flask, note_kiln
from casting.services.poured import PourDoubted, correct_poured_at, refuse_if_doubted, refuse_pour_at
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


@pytest.fixture
def plan(day, student, teacher):
    """Two flasks of one kiln, invested; the plan's kiln is not noted on."""
    handed_in(day, student)
    handed_in(day, student, own_metal=True)
    made = make_plan(day, by=teacher)
    for label in ("A", "B"):
        fix_flask(day, label, Flask.State.INVESTED, by=teacher)
    return made


def out_at(plan, label):
    (flask,) = [one for one in plan.file["flasks"] if one["label"] == label]
    return dt.datetime.fromisoformat(flask["out_at"])


@pytest.fixture
def clock(monkeypatch):
    return lambda at: monkeypatch.setattr(timezone, "now", lambda: at)


def asked(plan, label="A"):
    with pytest.raises(PourDoubted) as doubted:
        refuse_if_doubted(plan, label)
    assert doubted.value.label == label
    return doubted.value.sentence


def test_an_hour_early_is_asked_about_with_both_times_and_less_is_not(plan, teacher, clock):
    note_kiln(plan.day, plan.file["firings"][0]["kiln"], on=True, by=teacher)
    planned = out_at(plan, "A")
    clock(planned - dt.timedelta(minutes=61))
    sentence = asked(plan)
    assert f"{planned:%H:%M}, and it is now " in sentence and ": 1 h 1 min earlier." in sentence
    assert "Nobody noted" not in sentence
    # The school's judgement: an hour.
    clock(planned - dt.timedelta(minutes=60))
    assert refuse_if_doubted(plan, "A") is None


def test_a_kiln_that_nobody_noted_on_is_named_until_a_flask_is_poured_out_of_it(plan, teacher, clock):
    clock(out_at(plan, "A"))
    kiln = plan.day_values["kilns"][0]
    assert f"that {kiln['name']} is on, and flask A is to come out of it." in asked(plan)
    fix_flask(plan.day, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    assert refuse_if_doubted(plan, "B") is None


def test_a_time_to_come_and_one_before_it_was_invested_are_refused(plan, teacher):
    now = timezone.now()
    with pytest.raises(NotPlanned, match=r"cannot have been poured on .*: it is now .*\. Write when it was\."):
        refuse_pour_at(plan.day, "A", now + dt.timedelta(minutes=2))
    with pytest.raises(NotPlanned, match=r"it was invested on .* Correct the time that is wrong"):
        refuse_pour_at(plan.day, "A", now - dt.timedelta(days=1))
    invested = plan.day.steps_done.get(do="mix", what="A").done_at
    assert refuse_pour_at(plan.day, "A", invested.replace(second=0, microsecond=0)) is None
    with pytest.raises(NotPlanned, match="it was invested on"):
        fix_flask(plan.day, "A", Flask.State.POURED, by=teacher, poured_at=now - dt.timedelta(days=1))
    assert plan.day.states()["A"] == Flask.State.INVESTED
    assert refuse_pour_at(plan.day, "A", timezone.now()) is None


def test_only_a_poured_flask_has_its_time_corrected(plan, teacher):
    with pytest.raises(NotPlanned, match="Flask A is not poured"):
        correct_poured_at(plan.day, "A", timezone.now(), by=teacher)
    fix_flask(plan.day, "A", Flask.State.POURED, by=teacher, poured_at=timezone.now())
    at = timezone.now()
    correct_poured_at(plan.day, "A", at, by=teacher)
    assert plan.day.steps_done.get(do=Do.POUR, what="A").done_at == at
