"""Whose base is weighed next, and what is said of those that are."""

import pytest

from casting.models import Flask, Plan, RubberBase, StepRecord
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.mounting import MountingPage
from casting.services.flasks import fix_flask
from casting.services.running.ticks import Press, press


def page_of(day, in_hand=""):
    return MountingPage(OpenedPlan(Plan.objects.latest_of(day)), in_hand)


@pytest.fixture
def weigh(board, teacher):
    def weighed(label, share=1.0):
        line = next(one for one in page_of(board).lines if one.flask.label == label)
        gross = f"{20 + share * line.expected_g:.3f}"
        press(board, Press("weighed", label, reads=gross, base_reads="20"), by=teacher)

    return weighed


def test_bases_come_in_the_order_of_their_bowls_and_the_one_in_hand_first(board):
    page = page_of(board)
    bowls = [label for bowl in page.opened.sheet.bowls for label in bowl.flasks]
    assert [one.flask.label for one in page.turns] == bowls and len(bowls) > 1
    assert page_of(board, bowls[-1]).turns[0].flask.label == bowls[-1]
    assert page.done == [] and page.moved_words == ""


def test_a_weighed_one_is_done_and_its_charge_said_if_it_is_another(board, weigh):
    first, *others = [one.flask.label for one in page_of(board).turns]
    weigh(first)
    assert page_of(board).moved_words == ""
    weigh(others[0], 1.04)
    page = page_of(board)
    assert [one.flask.label for one in page.done] == [first, others[0]]
    assert page.moved_words.startswith(f"Weigh out as mounted: {others[0]} ") and ", not " in page.moved_words


def test_one_that_holds_other_waxes_since_is_weighed_again(board, weigh):
    label = page_of(board).turns[0].flask.label
    weigh(label)
    step = StepRecord.objects.get(do="weighed")
    StepRecord.objects.filter(pk=step.pk).update(figures=step.figures | {"tags": ["Z9"]})
    line = page_of(board).turns[0]
    assert line.is_old and line.waits and not line.charge_moved


def test_one_invested_without_it_is_named_and_the_bases_have_their_weights(board, teacher):
    label = page_of(board).turns[0].flask.label
    fix_flask(board, label, Flask.State.INVESTED, by=teacher)
    RubberBase.objects.create(school=board.course.school, number="7", weight_g="31.5")
    page = page_of(board)
    assert [one.flask.label for one in page.unweighed] == [label]
    assert [number for number, _weight in page.numbers] == ["7"] and page.numbers[0][1].startswith("31.50")
