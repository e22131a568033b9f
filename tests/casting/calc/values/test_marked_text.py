"""Temperatures marked in sentences, and names that carry no mark."""

import pytest

from casting.calc.values.marked_text import (
    DOWN,
    FROM_MEMORY,
    MARKED,
    NEAREST,
    UP,
    heat,
    in_a_sentence,
    in_words,
    mark,
    named,
    ramp,
    waxes_in_words,
)


@pytest.mark.parametrize(("words", "figure", "unit"), [(heat(482.5), "482.5", "°C"), (ramp(167), "167", "°C/h")])
def test_a_planned_temperature_is_marked_to_be_rounded_to_the_nearest(words, figure, unit):
    found = MARKED.fullmatch(words)
    assert found is not None
    assert found.groups() == (None, figure, None, NEAREST, unit)


@pytest.mark.parametrize(("figure", "after"), [("flask_c.thin", FROM_MEMORY), ("flask_c.heavy", ""), ("pour_c", "")])
def test_a_figure_from_memory_has_a_star_after_it(figure, after):
    assert mark(figure, {"flask_c.thin"}) == after


def test_a_whole_figure_from_memory_stands_for_all_its_parts():
    assert mark("flask_c.thin", {"flask_c"}) == FROM_MEMORY


@pytest.mark.parametrize("words", [f"482.5{FROM_MEMORY}{NEAREST}°C", heat(482.5) + FROM_MEMORY])
def test_a_star_hides_no_figure(words):
    assert MARKED.search(words)[2] == "482.5"


def test_a_name_that_looks_like_a_figure_is_none():
    for space in (DOWN, UP, NEAREST):
        typed = f"704{space}°C"
        assert MARKED.fullmatch(typed)
        assert named(typed) == "704 °C" and not MARKED.search(named(typed))


@pytest.mark.parametrize(("number", "words"), [(0, "0 waxes"), (1, "1 wax"), (2, "2 waxes")])
def test_one_wax_and_many(number, words):
    assert waxes_in_words(number) == words


@pytest.mark.parametrize(
    ("at_the_head", "inside"),
    [
        ("Silicon bronze", "silicon bronze"),
        ("14k yellow gold", "14k yellow gold"),
        ("CuSi bronze", "CuSi bronze"),
        ("", ""),
    ],
)
def test_a_metal_inside_a_sentence_has_a_small_letter_if_its_name_is_of_plain_words(at_the_head, inside):
    assert in_a_sentence(at_the_head) == inside


def test_parts_are_listed():
    assert (in_words(["A"]), in_words(["A", "B"]), in_words(["A", "B", "C"])) == ("A", "A and B", "A, B and C")
