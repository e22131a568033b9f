"""What the page at the torch shows: whose turn it is, what waits, and when the page is another."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import BenchChange, Flask, Plan
from casting.presenters.opened_plan import OpenedPlan
from casting.presenters.running.pours_page import PoursPage, version_of
from casting.services.flasks import fix_flask
from casting.services.running.ticks import Press, press


@pytest.fixture
def opened(board):
    return OpenedPlan(Plan.objects.latest_of(board))


def labels_of(page):
    return [turn.flask.label for turn in page.turns]


def test_the_flasks_stand_in_the_order_of_their_pours_and_the_one_in_hand_first(opened):
    order = labels_of(PoursPage(opened))
    rows = sorted(opened.plan.file["flasks"], key=lambda row: row["out_at"])
    assert order == [row["label"] for row in rows]
    assert labels_of(PoursPage(opened, order[-1])) == [order[-1], *order[:-1]]


def test_a_flask_goes_from_its_turn_to_waiting_to_its_pieces(opened, teacher):
    day, label = opened.plan.day, opened.plan.file["flasks"][0]["label"]
    fix_flask(day, label, Flask.State.INVESTED, by=teacher)
    fix_flask(day, label, Flask.State.POURED, by=teacher, poured_at=timezone.now())

    def page():
        return PoursPage(OpenedPlan(opened.plan))

    assert label not in labels_of(page())
    (waiting,) = page().waiting
    assert waiting.flask.label == label and waiting.poured.noted.by == teacher.name
    assert waiting.released.noted is None and waiting.quench.due == waiting.quench_at
    press(day, Press("quench", label, sure=True), by=teacher)
    (cooled,) = page().cooled
    assert page().waiting == [] and [piece.noted for piece in cooled.pieces] == [None] * len(cooled.pieces)
    press(day, Press("collected", cooled.pieces[0].what), by=teacher)
    assert page().cooled[0].pieces[0].noted.by == teacher.name


def test_a_tick_is_known_by_its_last_change(opened, teacher):
    assert PoursPage(opened).gates_open and {gate.seen for gate in PoursPage(opened).gates} == {0}
    press(opened.plan.day, Press("gate", "dry", who="Nadia"), by=teacher)
    gates = {gate.what: gate for gate in PoursPage(opened).gates}
    assert gates["dry"].seen == BenchChange.objects.latest("pk").pk > 0 == gates["button"].seen
    assert gates["dry"].noted.by == "Nadia" and gates["dry"].key == "gate-dry"


def test_the_version_is_another_at_each_note_plan_and_minute(opened, teacher):
    day, now = opened.plan.day, timezone.now()
    one = version_of(day, 1, now)
    assert one == version_of(day, 1, now) != version_of(day, 2, now)
    assert one != version_of(day, 1, now + dt.timedelta(minutes=1))
    press(day, Press("gate", "dry", who="Nadia"), by=teacher)
    assert one != version_of(day, 1, now)


def test_times_that_are_kept_are_not_told_as_moved(opened):
    page = PoursPage(opened)
    assert (page.moved, page.moved_words, page.hold) == ([], "", "2–5")
