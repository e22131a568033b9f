"""A sentence is its English text, and remembers its words and figures."""

import copy
import json
import pickle

import pytest

from casting.calc.values.marked_text import FROM_MEMORY
from casting.calc.values.sentence import (
    Sentence,
    and_again,
    from_json,
    or_again,
    places_of,
    plain,
    say,
    starred,
    to_json,
    together,
    words,
)

FILLED = say(
    "Fill {flasks} with {water_g:.1f} g, {minutes} min{star}: {why:capital}{after:,}.",
    flasks=("A", "B", "C"), water_g=76.84, minutes=6.5, star=starred(3, FROM_MEMORY), why=say("it sets"),
    after=("x", 2),
)  # fmt: skip


def test_a_sentence_is_its_english_text():
    assert f"Fill A, B and C with 76.8 g, 6.5 min3{FROM_MEMORY}: It setsx, 2." == FILLED
    assert json.dumps(FILLED) == json.dumps(str(FILLED)) and hash(FILLED) == hash(str(FILLED))


def test_a_sentence_comes_back_from_a_plan_file_with_its_figures():
    back = from_json(str(FILLED), json.loads(json.dumps(to_json(FILLED))))
    assert (back, back.words, back.figures) == (FILLED, FILLED.words, FILLED.figures)
    assert to_json(plain("Wait.")) is None and to_json("Wait.") is None


def test_figures_that_do_not_make_the_text_are_left_out():
    said = to_json(say("Leave flask {flask} alone.", flask="B"))
    assert from_json("Leave flask B alone.", said).figures == {"flask": "B"}
    for wrong in (said, {"words": "{x:999999999}", "x": 1}, {"words": "{missing}"}, {"words": "{"}, {}, ["A"], None):
        read = from_json("Leave flask A alone.", wrong)
        assert read == "Leave flask A alone." and read.figures == {}


def test_a_copy_keeps_words_and_figures():
    for other in (copy.deepcopy(FILLED), pickle.loads(pickle.dumps(FILLED))):
        assert isinstance(other, Sentence) and (other.words, other.figures) == (FILLED.words, FILLED.figures)


def test_a_number_is_kept_as_it_is_written_and_what_has_no_place_is_not():
    said = say("{mass_kg} kg", mass_kg=1.23456789, other=2)
    assert said == "1.23457 kg" and said.figures == {"mass_kg": 1.23457}
    assert say("{at:.1f} g", at=34.0).figures == {"at": 34} and say("{at:.1f} g", at=34.0) == "34.0 g"
    with pytest.raises(ValueError, match="no way to write a number"):
        say("{many:9d}", many=1)


def test_lists_and_joined_sentences():
    assert say("{all}", all=and_again(["a", "b", "c"])) == "a and b and c"
    assert or_again(["a"]) == "a" and or_again(["a", "b", "c"]) == "a or b or c"
    assert together(["One.", "Two."]) == "One. Two." and starred("5", "") == "5"
    assert plain("a {b}") == "a {b}" and plain(FILLED) is FILLED
    assert words("a {b:.1f}") == "a {b:.1f}" and places_of("a {b:.1f} {c}") == (("b", ".1f"), ("c", ""))
