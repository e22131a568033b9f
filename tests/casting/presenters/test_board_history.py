"""Steps on the board in words."""

import datetime as dt

import pytest

from casting.models import BoardStep, Plan
from casting.presenters.board_history import SENTENCES, done_in_words, label_of_undo, words_of

AT = dt.datetime(2027, 3, 10, 19, 5, tzinfo=dt.UTC)


def test_every_step_has_its_words():
    assert set(SENTENCES) | {"undo", "redo"} == set(BoardStep.Did.values)


@pytest.mark.parametrize(
    ("did", "figures", "words"),
    [
        ("carry", {"tag": "C3", "from": "A", "to": "B"}, "C3 to flask B"),
        ("swap", {"tag": "C3", "other": "E4"}, "C3 and E4 swapped"),
        ("split", {"tags": "C3, E4", "from": "A", "to": "D"}, "C3, E4 from A into a new flask D"),
        ("keep", {"label": "A"}, "kept: A"),
        ("out", {"tag": "C3"}, "C3 left out"),
    ],
)
def test_a_step_names_its_waxes_and_flasks(did, figures, words):
    assert done_in_words(did, figures) == words


def test_who_did_it_and_when_on_the_school_s_clock(day, teacher):
    plan = Plan.objects.create(day=day, revision=7, day_file="{}", plan_file="{}")
    step = BoardStep(day=day, plan=plan, did="carry", figures={"tag": "C3", "to": "B"}, by=teacher, at=AT)
    said = words_of(step)
    # New York is five hours behind UTC until 14 March 2027.
    assert (said.what, said.who, f"{said.at:%H:%M}", said.revision) == ("C3 to flask B", teacher.name, "14:05", 7)
    back = BoardStep(day=day, plan=plan, did="undo", figures={"tag": "C3", "to": "B", "of": "carry"}, at=AT)
    assert (words_of(back).what, words_of(back).who) == ("Undone: C3 to flask B", "")
    again = BoardStep(day=day, plan=plan, did="redo", figures=back.figures, at=AT)
    assert words_of(again).what == "Done again: C3 to flask B"
    assert label_of_undo(step) == "C3 to flask B" and label_of_undo(None) == ""
