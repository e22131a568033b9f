"""What a page says of a mishap: what to do at once and on what that rests, the metal, the pours to come."""

import pytest

from casting.calc.values.mishap import Mishap
from casting.models import Flask, Plan
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.kiln_room import KilnRoomPage
from casting.presenters.running.mishaps import WentWrong, reheat_from, steps_of
from casting.presenters.running.pours_page import PoursPage
from casting.selectors.account.flasks import planned_flask
from casting.services.account.flasks import weigh_out
from casting.services.flasks import fix_flask
from casting.services.running.mishaps import Met, note_mishap
from tests.casting.account_days import invest, lot_of


@pytest.fixture
def labels(board, teacher):
    return invest(board, teacher)


def opened_charge(day, label):
    return planned_flask(day, label).charge_g


def opened(day):
    return OpenedPlan(Plan.objects.latest_of(day))


def test_water_is_never_said_of_running_metal_but_to_keep_it_away_and_its_source_is_named(board, labels):
    wrong = WentWrong(opened(board), {}, [], labels[0])
    by_kind = {choice.kind: choice for choice in wrong.choices}
    assert set(by_kind) == set(Mishap) and wrong.chosen == labels[0]
    for kind in (Mishap.LEAKED, Mishap.BLOWN_OUT):
        assert any("Never water" in step for step in by_kind[kind].steps)
        assert "HSE, molten metals safety topics (published)" in by_kind[kind].rests_on
    assert by_kind[Mishap.FROZEN].rests_on == "Common practice"
    assert by_kind[Mishap.POWER].steps == [] == steps_of(Mishap.POWER)
    # Published: not below 275 C before the pour (the cristobalite step); the rulebook's limit has the source.
    limit = reheat_from(wrong.opened)
    assert limit == "275\u202f°C"
    assert any(limit in words for _value, words in by_kind[Mishap.POWER].answers)


def test_in_the_kiln_room_all_flasks_of_the_kiln_can_be_chosen(board, labels):
    page = KilnRoomPage(opened(board))
    assert page.went_wrong.flasks[0] == (",".join(labels), "all of them")
    assert [choice.kind for choice in page.went_wrong.choices] == ["power", "late", "cracked"]
    assert page.went_wrong.chosen == ""


def test_a_flask_in_hand_of_which_nothing_can_be_noted_puts_no_other_in_its_place(board, labels, teacher):
    fix_flask(board, labels[0], Flask.State.PLANNED, by=teacher)
    page = PoursPage(opened(board), labels[0])
    assert page.went_wrong.chosen == "" and page.went_wrong.flasks == [(label, label) for label in labels[1:]]


def test_before_anything_is_invested_nothing_can_be_noted(board):
    wrong = PoursPage(opened(board)).went_wrong
    assert wrong.flasks == [] and wrong.chosen == "" and wrong.noted == []


def test_a_lost_flask_is_no_turn_any_more_and_its_metal_goes_back(board, labels, teacher):
    lot = lot_of(board.course.school, teacher, grams="900")
    weigh_out(board, labels[0], {lot.pk: opened_charge(board, labels[0])}, by=teacher)
    note_mishap(board, Met("cracked", (labels[0],), "unpoured"), by=teacher)
    page = PoursPage(opened(board))
    assert [turn.flask.label for turn in page.turns] == labels[1:]
    (line,) = page.went_wrong.noted
    assert line.words == f"{labels[0]} is cracked" and line.follows[0] == f"{labels[0]} is not poured."
    assert "take that back on the page Metal account" in line.follows[1]
    assert line.follows[2].startswith(f"Pours now: {labels[1]} ")
    assert {piece.fate for piece in line.pieces} == {"again"} and not line.pieces[0].is_open
    kiln = KilnRoomPage(opened(board)).kilns[0]
    assert [flask.label for flask in kiln.to_pour] == labels[1:] and not kiln.is_over


def test_metal_that_ran_out_stays_in_the_account_until_it_is_weighed_back(board, labels, teacher):
    lot = lot_of(board.course.school, teacher, grams="900")
    weigh_out(board, labels[0], {lot.pk: opened_charge(board, labels[0])}, by=teacher)
    note_mishap(board, Met("leaked", (labels[0],), "none"), by=teacher)
    (line,) = PoursPage(opened(board)).went_wrong.noted
    assert f"Its metal stays booked in flask {labels[0]}." in line.follows[0]


def test_a_kiln_whose_flasks_are_all_lost_is_switched_off(board, labels, teacher):
    note_mishap(board, Met("power", tuple(labels), "cold"), by=teacher)
    kiln = KilnRoomPage(opened(board)).kilns[0]
    assert kiln.is_over and kiln.words == "None of its flasks is to be poured any more. Switch it off."
    assert PoursPage(opened(board)).turns == []
