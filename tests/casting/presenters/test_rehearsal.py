"""What a rehearsal comes to."""

import pytest

from casting.models import Alloy
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.rehearsal import missed_by, told_of
from casting.services import searches
from casting.services.rehearsal import rehearse
from casting.services.stock import stock_school


@pytest.fixture
def stocked(teacher):
    stock_school(teacher.school)
    return teacher


def test_hours_and_cautions_are_those_of_the_plan(stocked):
    opened = OpenedPlan(searches.settle(rehearse(stocked)).plan)
    told = told_of(opened)
    assert [name for name, _at in told.kilns_on] == [night.named for night in opened.sheet.kilns]
    pours = [step["at"] for step in opened.plan.file["steps"] if step["do"] == "pour"]
    assert told.last_pour.isoformat() == max(pours)
    # Nothing is recorded of the room, so something holds the plan back.
    assert told.stops == len(opened.held_back) > 0
    assert told.warnings > 0
    assert missed_by(opened.plan.day) == []


def test_what_stood_in_is_said(stocked):
    Alloy.objects.filter(key="si-bronze").update(offered=False)
    day = searches.settle(rehearse(stocked)).day
    assert missed_by(day) == ["You do not work with silicon bronze. The class uses fine silver in its place."]
