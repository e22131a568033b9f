"""Whose bowl is mixed next, and what is said of what was read."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import Investment, Plan
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.mixing import MixingPage
from casting.services.running.ticks import Press, press
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def page_of(day, in_hand=""):
    return MixingPage(OpenedPlan(Plan.objects.latest_of(day)), in_hand)


@pytest.fixture
def bowls(board):
    return [one.what for one in page_of(board).turns]


@pytest.fixture
def note(board, teacher):
    def pressed(do, what, ago_min=0.0, **more):
        press(board, Press(do, what, at=timezone.now() - dt.timedelta(minutes=ago_min), **more), by=teacher)

    return pressed


def test_bowls_come_in_the_order_of_the_plan_a_begun_one_first(board, student, teacher, note):
    handed_in(board, student, own_metal=True)
    make_plan(board, teacher)
    bowls = [one.what for one in page_of(board).turns]
    lines = page_of(board).opened.sheet.bowls
    assert bowls == ["+".join(one.flasks) for one in sorted(lines, key=lambda one: one.at)] and len(bowls) > 1
    note("mixing", bowls[-1])
    assert page_of(board).turns[0].what == bowls[-1]
    assert page_of(board, bowls[0]).turns[0].what == bowls[0]


def test_a_begun_bowl_has_its_end_and_a_filled_one_its_base_and_its_set(board, bowls, note):
    what = bowls[0]
    assert page_of(board).turns[0].until is None and page_of(board).turns[0].unweighed == what.split("+")
    note("mixing", what, 3)
    turn = page_of(board).turns[0]
    assert turn.until - turn.begun.noted.at == dt.timedelta(minutes=turn.working_min)
    note("mix", what)
    page = page_of(board)
    done = page.filled[0]
    assert done.what == what and what not in [one.what for one in page.turns]
    assert done.base_off_at - done.filled.noted.at == dt.timedelta(minutes=60)
    assert done.set_at - done.filled.noted.at == dt.timedelta(minutes=done.set_min)


def test_a_bowl_that_a_later_plan_has_no_more_stays_with_what_was_noted(board, bowls, note, teacher):
    note("mixing", bowls[0], 3)
    note("mix", bowls[0])
    plan = make_plan(board, teacher)
    assert bowls[0].split("+") not in [row["flasks"] for row in plan.file["bowls"]]
    assert [one.what for one in page_of(board).filled] == [bowls[0]] and page_of(board).filled[0].line is None


def test_what_was_read_is_said_with_what_follows(board, bowls, note):
    page = page_of(board)
    assert page.bowls[0].water_said == "" and page.bowls[0].bell.gauge_words == "" and page.measured is None
    warm = page.opened.sheet.day.investment.water_c[1] + 5
    note("water", bowls[0], reads=f"{warm:g}")
    assert "warmer than it should be, so it sets sooner" in page_of(board).bowls[0].water_said
    note("water", bowls[0], reads="1")
    assert "cooler than it should be" in page_of(board).bowls[0].water_said
    note("water_g", bowls[0], reads="100", sure=True)
    powder_g = page.bowls[0].line.powder_g
    assert (
        page_of(board)
        .bowls[0]
        .weighed_said.startswith(f"100 g: {100 * 100 / powder_g:.1f} to 100 of powder, planned 4")
    )
    note("bell", bowls[0], reads="5")
    assert page_of(board).bowls[0].bell.gauge_words.startswith("5")


def test_a_water_that_nobody_recorded_says_where_to_look(board, teacher):
    Investment.objects.filter(school=board.course.school).update(water_c=None)
    make_plan(board, teacher)
    assert page_of(board).water_words == "temperature not recorded: see the powder's sheet"


def test_a_gloss_is_offered_until_the_day_counts_on_it(board, bowls, note):
    note("mixing", bowls[0], 8.25)
    note("gloss", bowls[0])
    page = page_of(board)
    assert page.measured.what == bowls[0] and page.measured.gloss_min == 8.2
    board.gloss_off_min = 8.2
    assert page_of(board).measured is None
