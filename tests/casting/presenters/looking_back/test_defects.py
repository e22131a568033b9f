import datetime as dt

import pytest
from django.utils.translation import override

from casting.calc.values.enums import Do
from casting.dayfile.defects_file import cause_rules
from casting.models import PieceDefect, Plan
from casting.presenters.looking_back.defect_words import CAUSES, FACTS
from casting.presenters.looking_back.defects import said_defects
from casting.services.running.noting import note


def test_every_cause_and_every_figure_has_its_words_and_no_other():
    assert set(CAUSES) == {rule.id for rule in cause_rules()}
    assert set(FACTS) == {rule.fact for rule in cause_rules()}


@pytest.fixture
def rough(planned, teacher):
    wax = planned.waxes.first()
    PieceDefect.objects.create(wax=wax, kind="flashing", where="all_over", by=teacher)
    return planned


def rested(day, teacher, minutes):
    """Its flask was filled so many minutes before the kiln went on, as planned; return the plan."""
    plan = Plan.objects.latest_of(day)
    on = next(dt.datetime.fromisoformat(step["at"]) for step in plan.file["steps"] if step["do"] == Do.KILN_ON)
    note(day, Do.MIX, "A", at=on - dt.timedelta(minutes=minutes), by=teacher)
    note(day, Do.KILN_ON, "k1", at=on, by=teacher)
    return plan


def test_a_flask_that_rested_too_short_is_pointed_at_with_its_minutes(rough, teacher):
    plan = rested(rough, teacher, 50)
    (defect,) = said_defects(rough, plan)
    assert defect.flask == "A"
    assert [cause.id for cause in defect.points] == ["rest-short"]
    assert defect.points[0].evidence == "rest before the kiln: 50 min; at least 2 h"
    assert "water" in {cause.evidence.partition(":")[0] for cause in defect.open}
    with override("es"):
        (spanish,) = said_defects(rough, plan)
    assert spanish.points[0].evidence.startswith("reposo antes del horno: 50 min")


def test_of_a_flask_that_rested_long_enough_nothing_is_said_but_what_is_open(rough, teacher):
    plan = rested(rough, teacher, 121)
    (defect,) = said_defects(rough, plan)
    assert defect.points == () and "rest-short" in {cause.id for cause in defect.against}


def test_a_day_without_a_plan_has_no_defects(day):
    assert said_defects(day, None) == []
