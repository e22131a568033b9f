"""A bowl that spilled: what is mixed anew for whom, and the latest that it can be."""

from dataclasses import replace
from datetime import timedelta

import pytest

from casting.calc.values.day_plan import Spill
from casting.calc.values.enums import Do
from casting.models import Plan
from casting.presenters.formats import day_clock
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.spilled import spill_lines, spilled_of
from casting.services.flasks import fix_flask


def sheet_of(day):
    return OpenedPlan(Plan.objects.latest_of(day)).sheet


@pytest.fixture
def shared(board):
    """A plan's sheet with a bowl that two flasks share."""
    sheet = sheet_of(board)
    assert len(sheet.flasks) == 2
    one, other = sheet.flasks
    both = replace(sheet.bowls[0], flasks=(one.label, other.label), powder_g=570, water_g=228.0)
    return replace(sheet, bowls=(both,))


def test_the_whole_bowl_is_mixed_again(planned):
    sheet = sheet_of(planned)
    (bowl,) = sheet.bowls
    said = spilled_of(sheet, "A")
    assert (said.flasks, said.powder_g, said.water_g) == (("A",), bowl.powder_g, bowl.water_g)
    assert said.noted == () and spill_lines(sheet) == []
    load = next(step.at for step in sheet.steps if step.do is Do.LOAD)
    # It is poured in as long as planned, and sets as long as the powder's maker says.
    assert said.by == load - timedelta(minutes=sheet.day.investment.set_min) - (bowl.until - bowl.at)
    assert bowl.at <= said.by < said.next_at == load and said.planned_at == bowl.at


def test_a_flask_that_was_filled_before_it_spilled_stays_and_only_the_rest_is_mixed(shared):
    one, other = shared.flasks
    half = replace(shared, bowls=(replace(shared.bowls[0], invested=(one.label,)),))
    said = spilled_of(half, other.label)
    assert said.flasks == (other.label,) and said.powder_g == 570 - one.powder_g
    assert said.water_g == pytest.approx(228.0 - one.water_g, abs=0.05)
    assert spilled_of(half, one.label) is None


def test_of_an_invested_flask_no_bowl_can_spill(planned, teacher):
    fix_flask(planned, "A", "invested", by=teacher)
    assert spilled_of(sheet_of(planned), "A") is None


def test_a_bowl_that_was_noted_is_told_with_its_hour_and_what_was_in_it(planned):
    sheet = sheet_of(planned)
    spill = Spill(("A",), -1140, 283, 113.2)  # 19 h before the first pour
    noted = replace(sheet, day=replace(sheet.day, spilled=(spill,)))
    (at,) = spilled_of(noted, "A").noted
    assert at == sheet.pour_at - timedelta(hours=19)
    (line,) = spill_lines(noted)
    assert line == f"Spilled at {day_clock(at)}: the bowl of A, 283 g powder and 113.2 g water. Mixed anew."
