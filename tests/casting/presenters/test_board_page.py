"""What the page of a board is told: what is in hand, what flasks answer, what an undo takes back, what is offered."""

import json

import pytest

from casting.calc.values.day_plan import Place
from casting.models import Plan, Search
from casting.presenters.board_page import Chosen, board_context, steps_of
from casting.services import board as steps
from casting.services import searches
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in


def context(day, *, may_move=True, **chosen):
    return board_context(day, Chosen(**chosen), may_move=may_move)


def tags(day):
    return sorted(day.waxes.values_list("tag", flat=True))


def test_what_is_chosen_comes_from_the_address_or_a_form():
    assert Chosen.of({"wax": "C3"}).fragment == "?wax=C3#hand"
    assert Chosen.of({"tag": "C3"}) == Chosen(wax="C3") and Chosen().fragment == ""
    assert Chosen.of({"flask": "A", "view": "button"}).fragment == "?flask=A&view=button#hand"
    assert Chosen.of({"view": "inside", "since": "x", "asks": "all"}) == Chosen()
    assert Chosen.of({"asks": "saves"}).fragment == "?asks=saves#hand"
    assert Chosen().but(refused="no", beyond=Place(1, 2, 3)).beyond == Place(1, 2, 3)


def test_nothing_in_hand_nothing_to_undo(planned):
    given = context(planned)
    assert (given["in_hand"], given["undo"], given["redo"], given["offer"]) == (None, "", "", [])
    assert given["board"].head == "3 waxes in 1 flask" and given["may_move"]


def test_a_wax_in_hand_is_answered_by_every_flask_and_size(planned):
    tag = tags(planned)[0]
    given = context(planned, wax=tag)
    hand = given["in_hand"]
    assert (hand.home, hand.kept, hand.left_out) == ("A", False, False) and hand.spot is not None
    assert [one.to for one in hand.refuses if one.verdict == "here"] == ["A"]
    assert len(hand.takes) == 1 and all(not one.label for one in hand.more_sizes)
    assert given["flasks"][0].verdict == "here" and given["sizes"][0].verdict in ("takes", "refused")
    assert hand.why == ("It is the only flask on the board.",)
    # A helper looks and moves nothing.
    assert context(planned, wax=tag, may_move=False)["in_hand"].answers == ()
    assert context(planned, wax="ZZ")["in_hand"] is None


def test_a_wax_on_the_bench_is_asked_of_no_flask(planned, teacher):
    fix_flask(planned, "A", "invested", by=teacher)
    assert context(planned, wax=tags(planned)[0])["in_hand"].answers == ()
    assert context(planned, flask="A")["flask_in_hand"].label == "A"


def test_undo_and_redo_say_what_they_take_back(planned, teacher):
    tag = tags(planned)[0]
    steps.take_step(planned, Move("out", tag=tag), revision=1, by=teacher)
    assert context(planned)["undo"] == f"{tag} left out"
    steps.undo(planned, revision=2, by=teacher)
    given = context(planned)
    assert (given["undo"], given["redo"]) == ("", f"{tag} left out")
    assert [step.what for step in steps_of(planned)] == [
        f"Undone: {tag} left out", f"{tag} left out", "planned by the computer",
    ]  # fmt: skip
    make_plan(planned, teacher)
    assert context(planned)["undo"] == "planned by the computer" and context(planned)["redo"] == ""


def test_a_plan_found_while_the_board_went_on_is_offered_and_taken(planned, teacher):
    tag = tags(planned)[0]
    found = Plan.objects.latest_of(planned)
    searches.begin(planned, teacher)
    steps.take_step(planned, Move("out", tag=tag), revision=1, by=teacher)
    ended = searches.settle(Search.objects.get())
    assert ended.state == Search.State.FAILED and json.loads(ended.found)["aside"] == "offered"
    offer = context(planned)["offer"]
    assert offer[0] == ("flasks", "1", "1") and offer[-1][0] == "cost" and offer[-1][1] != offer[-1][2]
    taken = steps.take_offer(planned, revision=2, by=teacher)
    assert json.loads(taken.plan_file)["flasks"] == found.file["flasks"]
    assert context(planned)["offer"] == [] and context(planned)["undo"] == "planned by the computer"
    steps.undo(planned, revision=3, by=teacher)
    assert context(planned)["board"].head == "2 waxes in 1 flask"


def test_an_offer_is_gone_when_the_waxes_are_others(planned, student, teacher):
    searches.begin(planned, teacher)
    steps.take_step(planned, Move("out", tag=tags(planned)[0]), revision=1, by=teacher)
    searches.settle(Search.objects.get())
    handed_in(planned, student)
    assert context(planned)["offer"] == []
    with pytest.raises(steps.NotPlanned, match="The day has changed since this plan was found"):
        steps.take_offer(planned, revision=2, by=teacher)
