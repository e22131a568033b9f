"""A plan beside the one before, and what a single change would save, in words."""

import json
import re

import pytest

from casting.models import Search
from casting.presenters.comparison import Savings, moved_in, savings_of
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.searches import SearchStatus
from casting.services.flasks import hold_wax
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in

COUNTS = {"passed": 7, "of": 9, "ruled_out": 4, "planned": 3, "done": False}


@pytest.fixture
def opened(day, student, teacher):
    handed_in(day, student)
    return OpenedPlan(make_plan(day, by=teacher))


def told(opened, **save):
    """What a search that found this one saving says of it."""
    first = {"kind": "crucible", "what": "", "by": 40, "to": "", "flasks": 1, "left_out": 0, "cost": 3.1}
    first |= {"last_pour_at": opened.sheet.flasks[-1].out_at.isoformat()}
    row = Search(plan=opened.plan, found=json.dumps(COUNTS | {"saves": [first | save]}))
    return savings_of(opened, SearchStatus(row, is_running=False))


def test_the_first_revision_has_moved_nothing(opened):
    assert moved_in(opened) == ()


def test_a_wax_that_was_held_to_another_flask_has_moved_there(day, student, teacher):
    wax = handed_in(day, student, what="leaf ring")
    make_plan(day, by=teacher)
    hold_wax(wax, "K", teacher)
    (line,) = moved_in(OpenedPlan(make_plan(day, by=teacher)))
    assert (line.name.tag, line.name.piece) == (wax.tag, "leaf ring")
    assert (line.move.old, line.move.new) == ("A", "K")


def test_nobody_has_asked_of_this_plan(day, teacher, opened):
    assert savings_of(opened, None) == Savings(None)
    row = Search(plan=opened.plan, found=json.dumps(COUNTS | {"saves": []}))
    later = OpenedPlan(make_plan(day, by=teacher))
    assert savings_of(later, SearchStatus(row, is_running=False)) == Savings(None)


def test_what_was_neither_ruled_out_nor_planned_is_not_tried(opened):
    savings = told(opened)
    # Of 9 changes 4 are ruled out and 3 planned, 4 + 3 = 7, which leaves 9 - 7 = 2.
    assert (savings.tried, savings.untried) == (7, 2)


def test_a_change_and_its_effect_are_in_words(opened):
    (saving,) = told(opened).saves
    assert saving.change == f"A crucible of 40 ml instead of {opened.sheet.day.rules.crucible_ml:g} ml"
    assert saving.effect.startswith("1 flask instead of 1") and "cost 3.10\u202fUSD instead of" in saving.effect


def test_another_metal_is_told_with_what_the_piece_s_metal_costs_more(opened):
    day = opened.sheet.day
    (saving,) = told(opened, kind="metal", what=day.waxes[0].key, to="gold-14k").saves
    assert " instead of Sterling silver" in saving.change and "powder" not in saving.effect
    silver, gold = day.alloys["sterling"], day.alloys["gold-14k"]
    silver_g = opened.sheet.flasks[0].waxes[0].metal_g
    more = silver_g / silver.specific_gravity * gold.specific_gravity * gold.price_per_g - silver_g * silver.price_per_g
    (price,) = re.findall(r"its metal costs ([\d,]+\.\d\d)\u202fUSD more", saving.effect)
    assert float(price.replace(",", "")) == pytest.approx(
        more, abs=0.45
    )  # the plan's 0.005 g of silver at 62 a gram of gold
