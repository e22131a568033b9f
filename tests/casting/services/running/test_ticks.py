"""A press on the tablet: counted once, at its own time, and never over what somebody else did since."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.calc.values.enums import Gate
from casting.models import BenchChange, Flask
from casting.models.errors import NotPlanned
from casting.selectors.flasks import noted_on
from casting.services.flasks import fix_flask
from casting.services.poured import PourDoubted
from casting.services.running.after_pour import QuenchDoubted
from casting.services.running.ticks import Overtaken, Press, press


@pytest.fixture
def invested(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    return planned


@pytest.fixture
def checked(invested, teacher):
    """Flask A is invested and the checks of the day are ticked."""
    for gate in Gate:
        press(invested, Press("gate", gate, who="Nadia Ferro"), by=teacher)
    return invested


def at_of(day, do, what):
    return noted_on(day)[do, what].at


def test_a_press_that_comes_late_and_twice_counts_once_and_from_when_it_was_pressed(invested, teacher):
    then = timezone.now() - dt.timedelta(minutes=10)
    for _again in range(2):
        press(invested, Press("melting", "A", at=then), by=teacher)
    press(invested, Press("melting", "A", at=timezone.now()), by=teacher)
    assert at_of(invested, "melting", "A") == then
    assert BenchChange.objects.filter(do="melting").count() == 1


def test_a_tablet_whose_clock_is_ahead_is_told_and_a_few_seconds_are_let_pass(invested, teacher):
    with pytest.raises(NotPlanned, match="Set this tablet's clock, then press again"):
        press(invested, Press("gauge", "A", at=timezone.now() + dt.timedelta(minutes=2)), by=teacher)
    press(invested, Press("gauge", "A", at=timezone.now() + dt.timedelta(seconds=20)), by=teacher)
    assert at_of(invested, "gauge", "A") <= timezone.now()


def test_what_somebody_took_back_meanwhile_is_not_ticked_over(invested, teacher):
    press(invested, Press("gauge", "A", seen=0), by=teacher)
    press(invested, Press("gauge", "A", undo=True), by=teacher)
    late = Press("gauge", "A", at=timezone.now() - dt.timedelta(minutes=1), seen=0)
    with pytest.raises(Overtaken, match=f"{teacher.name} took this back on "):
        press(invested, late, by=teacher)
    seen = BenchChange.objects.latest("pk").pk
    press(invested, Press("gauge", "A", seen=seen), by=teacher)
    with pytest.raises(Overtaken, match=f"{teacher.name} noted this anew on "):
        press(invested, Press("gauge", "A", undo=True, seen=seen), by=teacher)


def test_a_step_that_is_none_or_of_no_flask_is_refused(invested, teacher):
    for pressed, said in (
        (Press("dance", "A"), "There is no such step"),
        (Press("gate", "roof", who="Nadia"), "There is no such step"),
        (Press("melting", "Q"), "Flask Q is not invested"),
        (Press("pour_gauge", "Q", reads="27"), "Flask Q is not invested"),
        (Press("released", "A"), "Flask A is not poured"),
        (Press("gate", "dry"), "Write the name of whoever looked"),
        (Press("out", "A"), "before the three checks of the day are ticked"),
        (Press("pour", "A"), "before the three checks of the day are ticked"),
        (Press("collected", "ZZ"), "No flask of this day has wax ZZ"),
    ):
        with pytest.raises(NotPlanned, match=said):
            press(invested, pressed, by=teacher)
    assert not invested.steps_done.exclude(do="mix").exists()


def test_a_pour_that_is_doubted_asks_and_whoever_is_sure_says_when(checked, teacher):
    """Its kiln is not noted on, and its pour is weeks away."""
    with pytest.raises(PourDoubted):
        press(checked, Press("pour", "A"), by=teacher)
    then = timezone.now()
    press(checked, Press("pour", "A", at=then, sure=True), by=teacher)
    assert at_of(checked, "pour", "A") == then and checked.states()["A"] == Flask.State.POURED
    press(checked, Press("released", "A"), by=teacher)
    with pytest.raises(QuenchDoubted):
        press(checked, Press("quench", "A"), by=teacher)
    press(checked, Press("quench", "A", sure=True), by=teacher)
    tag = checked.waxes.first().tag
    press(checked, Press("collected", tag), by=teacher)
    for do, what in (("collected", tag), ("quench", "A"), ("pour", "A"), ("gate", "dry")):
        press(checked, Press(do, what, undo=True), by=teacher)
    assert checked.states()["A"] == Flask.State.INVESTED
