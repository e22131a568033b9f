import pytest

from casting.calc.values.mishap import ANSWERS, Left, Mishap
from casting.dayfile.mishaps_file import steps_at_once
from casting.presenters.running.mishap_words import ASKED, KINDS, NOTED, STEPS, left_words


def test_every_step_has_its_words_and_none_is_left_over():
    assert {step.id for step in steps_at_once()} == set(STEPS)


@pytest.mark.parametrize("kind", Mishap)
def test_every_mishap_has_its_words_and_no_two_answers_read_alike(kind):
    assert str(KINDS[kind]) and "A" in str(NOTED[kind]) % {"label": "A"} and str(ASKED[kind]).endswith("?")
    answers = [left_words(kind, left) for left in ANSWERS[kind]]
    assert len(set(answers)) == len(answers)


def test_of_a_misrun_nobody_asks_whether_metal_is_in_it():
    assert left_words(Mishap.MISRUN, Left.METAL) == "Some may do: look at each"
    assert left_words(Mishap.LEAKED, Left.METAL) == "Metal is in it: look at its pieces later"
