"""The teacher's own word on flasks: waxes kept in one, and how far each has come."""

import pytest

from casting.models import Flask, Plan
from casting.models.errors import NotPlanned
from casting.services.flasks import fix_flask, hold_wax
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def test_a_held_wax_stands_in_its_flask(day, teacher):
    wax = handed_in(day)
    make_plan(day, by=teacher)
    hold_wax(wax, "K", teacher)
    plan = make_plan(day, by=teacher)
    assert [(flask["label"], flask["waxes"][0]["key"]) for flask in plan.file["flasks"]] == [("K", wax.tag)]
    assert list(day.flasks.values_list("label", flat=True)) == ["K"]


def test_a_day_whose_held_wax_fits_no_flask_is_refused(day, teacher):
    tall = handed_in(day, height_mm=88)
    hold_wax(tall, "B", teacher)
    with pytest.raises(NotPlanned, match=f"^{tall.tag} fits no flask even alone") as refused:
        make_plan(day, by=teacher)
    assert "held." not in refused.value.sentence and not Plan.objects.exists()


def test_an_invested_flask_stays_as_it_is(day, student, teacher):
    handed_in(day, student)
    make_plan(day, by=teacher)
    fix_flask(day, "A", Flask.State.INVESTED, by=teacher)
    handed_in(day, student)
    after = make_plan(day, by=teacher)
    assert after.day_values["fixed"] == ["A"]
    assert [len(flask["waxes"]) for flask in after.file["flasks"]] == [1, 1]
    with pytest.raises(NotPlanned, match="no flask Q"):
        fix_flask(day, "Q", Flask.State.INVESTED, by=teacher)
