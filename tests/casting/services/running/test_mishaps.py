"""What goes wrong is noted once, with its own time, by whom and what stood before; it can be taken back."""

import datetime as dt

import pytest
from django.utils import timezone

from casting.models import BenchChange, Flask, FlaskMishap, Plan, Recast
from casting.models.errors import NotPlanned
from casting.presenters.board import BoardPage
from casting.presenters.opened_plan import OpenedPlan
from casting.selectors.board import Kept
from casting.services.flasks import fix_flask
from casting.services.running.after_pour import note_quenched
from casting.services.running.mishaps import Met, decide_piece, note_mishap, take_back_mishap


def fates(day):
    return set(Recast.objects.filter(wax__day=day).values_list("fate", flat=True))


@pytest.mark.parametrize(
    ("kind", "left", "fate", "state"),
    [
        ("leaked", "metal", {"look"}, "poured"),
        ("leaked", "none", {"again"}, "poured"),
        ("cracked", "unpoured", {"again"}, "invested"),
        ("cracked", "metal", {"look"}, "poured"),
        ("blown_out", "none", {"again"}, "poured"),
        ("frozen", "metal", {"look"}, "poured"),
        ("late", "late_20", set(), "invested"),
        ("power", "hot", set(), "invested"),
        ("power", "cold", {"again"}, "invested"),
    ],
)
def test_what_is_left_decides_about_the_pieces_and_a_pour_is_noted_with_it(planned, teacher, kind, left, fate, state):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    for _twice in range(2):
        note_mishap(planned, Met(kind, ("A",), left), by=teacher)
    assert fates(planned) == fate and planned.states() == {"A": state}
    assert BenchChange.objects.filter(day=planned, do="mishap").count() == 1
    take_back_mishap(planned, kind, "A", by=teacher)
    take_back_mishap(planned, kind, "A", by=teacher)
    assert fates(planned) == set() and planned.states() == {"A": "invested"}
    last = BenchChange.objects.filter(do="mishap").latest("pk")
    assert last.after is None and last.before["left"] == left and last.by_person == teacher


def test_a_lost_flask_is_no_planned_one_again_before_its_note_is_taken_back(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    note_mishap(planned, Met("cracked", ("A",), "unpoured"), by=teacher)
    (on_board,) = BoardPage(planned, OpenedPlan(Plan.objects.latest_of(planned)), Kept(), {}, []).flasks
    assert on_board.stage_words == "lost"
    with pytest.raises(NotPlanned, match="Flask A is noted as lost"):
        fix_flask(planned, "A", Flask.State.PLANNED, by=teacher)
    assert planned.states() == {"A": "invested"}
    take_back_mishap(planned, "cracked", "A", by=teacher)
    fix_flask(planned, "A", Flask.State.PLANNED, by=teacher)


def test_it_counts_from_when_it_was_pressed(planned, teacher):
    then = timezone.now() - dt.timedelta(minutes=1)
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    planned.steps_done.update(done_at=then - dt.timedelta(hours=9))
    note_mishap(planned, Met("leaked", ("A",), "none", then), by=teacher)
    assert FlaskMishap.objects.get().at == then == planned.steps_done.get(do="pour").done_at


def test_an_answer_is_corrected_and_what_somebody_decided_since_stays(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    note_mishap(planned, Met("leaked", ("A",), "metal"), by=teacher)
    tag = Recast.objects.order_by("wax__tag").first().wax.tag
    decide_piece(planned, tag, "usable", by=teacher)
    decide_piece(planned, tag, "usable", by=teacher)
    note_mishap(planned, Met("misrun", ("A",), "none"), by=teacher)
    assert Recast.objects.get(wax__tag=tag).fate == "usable"
    assert sorted(Recast.objects.values_list("fate", flat=True)) == ["again", "again", "usable"]
    note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)
    change = BenchChange.objects.filter(do="mishap", before__isnull=False).get()
    assert (change.before["left"], change.after["left"]) == ("metal", "none")
    assert BenchChange.objects.filter(do="piece").count() == 1


def test_a_quenched_flask_stays_poured_when_a_mishap_is_taken_back(planned, teacher):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    note_mishap(planned, Met("frozen", ("A",), "metal"), by=teacher)
    note_quenched(planned, "A", by=teacher, sure=True)
    take_back_mishap(planned, "frozen", "A", by=teacher)
    assert planned.states() == {"A": "poured"}


@pytest.mark.parametrize(
    ("met", "said"),
    [
        (Met("exploded", ("A",), "none"), "Choose what went wrong and what is left of it."),
        (Met("leaked", ("A",), "late_10"), "Choose what went wrong and what is left of it."),
        (Met("leaked", (), "none"), "Choose the flask with which something went wrong."),
        (Met("leaked", ("ZZ9",), "none"), "The plan has no flask ZZ9."),
        (Met("misrun", ("A",), "none"), "Flask A is not poured yet, so nobody can see what filled."),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_nothing_is_noted(planned, teacher, met, said):
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    with pytest.raises(NotPlanned, match=said.replace("?", ".")):
        note_mishap(planned, met, by=teacher)
    assert not FlaskMishap.objects.exists() and not Recast.objects.exists()


def test_a_flask_that_is_not_invested_leaks_on_the_board(planned, teacher):
    with pytest.raises(NotPlanned, match="On the page Board take it in hand and say there that it leaks"):
        note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)


@pytest.mark.parametrize(("kind", "left"), [("late", "late_10"), ("power", "cold"), ("cracked", "unpoured")])
def test_a_poured_flask_needs_its_kiln_no_more(planned, teacher, kind, left):
    for state in (Flask.State.INVESTED, Flask.State.POURED):
        fix_flask(planned, "A", state, by=teacher, poured_at=timezone.now())
    with pytest.raises(NotPlanned, match="Flask A is poured"):
        note_mishap(planned, Met(kind, ("A",), left), by=teacher)
    note_mishap(planned, Met("misrun", ("A",), "metal"), by=teacher)
    assert fates(planned) == {"look"}


def test_of_several_flasks_all_are_noted_or_none(board, teacher):
    labels = tuple(sorted(flask["label"] for flask in board.plans.get().file["flasks"]))
    fix_flask(board, labels[0], Flask.State.INVESTED, by=teacher)
    with pytest.raises(NotPlanned, match="is not invested yet"):
        note_mishap(board, Met("power", labels, "cold"), by=teacher)
    assert not FlaskMishap.objects.exists()
    for label in labels:
        fix_flask(board, label, Flask.State.INVESTED, by=teacher)
    note_mishap(board, Met("power", labels, "cold"), by=teacher)
    assert FlaskMishap.objects.count() == len(labels) and Recast.objects.count() == 6


def test_a_piece_of_nothing_that_went_wrong_is_not_decided_about(planned, teacher):
    tag = planned.waxes.first().tag
    for asked, fate in ((tag, "usable"), ("", "again")):
        with pytest.raises(NotPlanned, match="Nobody noted that anything went wrong with"):
            decide_piece(planned, asked, fate, by=teacher)
    fix_flask(planned, "A", Flask.State.INVESTED, by=teacher)
    note_mishap(planned, Met("leaked", ("A",), "none"), by=teacher)
    with pytest.raises(NotPlanned, match="Nobody noted that anything went wrong with"):
        decide_piece(planned, tag, "melted", by=teacher)
    Recast.objects.update(next_day=planned)
    for press in (
        lambda: decide_piece(planned, tag, "usable", by=teacher),
        lambda: take_back_mishap(planned, "leaked", "A", by=teacher),
    ):
        with pytest.raises(NotPlanned, match="A place is kept for"):
            press()
