"""Numbers as people type them."""

import string
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.units import Length, Mass, NotUnderstood, Temperature, from_grams, grams, read_number


@pytest.mark.parametrize(
    ("text", "number"),
    [("4,35", "4.35"), ("4.35", "4.35"), (".5", "0.5"), ("5.", "5"), ("5,", "5"), ("0", "0"), ("4.35 g", "4.35"),
     ("4.35g", "4.35"), ("4 G", "4"), ("\u00a04.35\u202f", "4.35"), ("\uff14\uff0e\uff13\uff15", "4.35"), ("007", "7")],
)  # fmt: skip
def test_one_number_is_read(text, number):
    assert read_number(text, Mass.GRAM) == Decimal(number)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1.234,5", "more than one comma or point"),
        ("-2", "below zero"),
        ("\u22122", "below zero"),
        ("1 234", "space between its digits"),
        ("1\u202f234", "space between its digits"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("9**9", "not a number"),
        ("1e5", "not a number"),
        ("4\u00b2", "not a number"),
        ("\u2460", "not a number"),
        ("\u0664", "not a number"),
        ("12345678", "too many digits"),
        ("1.1234567", "too many digits"),
        ("4 dwt", "is not in g"),
        ("4 mm", "is not in g"),
        ("1 oz t", "not a number"),
        ("", "Nothing is entered"),
        ("9" * 21, "21 characters long"),
    ],
)
def test_the_sentence_says_what_is_wrong_and_what_to_do(text, said):
    with pytest.raises(NotUnderstood) as refusal:
        read_number(text, Mass.GRAM)
    assert said in refusal.value.sentence
    assert "Write" in refusal.value.sentence or "Choose" in refusal.value.sentence
    if 0 < len(text) <= 20:
        assert text.strip() in refusal.value.sentence


@given(st.text(max_size=30))
def test_any_text_is_a_small_number_or_a_sentence(text):
    try:
        number = read_number(text, Length.MILLIMETRE)
    except NotUnderstood as refusal:
        assert refusal.sentence
    else:
        assert number.is_finite() and 0 <= number < 10_000_000


@given(st.decimals(0, 9999, places=3), st.sampled_from(".,"), st.sampled_from(["", " ", "\u00a0", "\u2009"]))
def test_what_is_written_is_what_is_read(number, mark, space):
    text = f"{space}{number:f}{space}".replace(".", mark)
    assert read_number(text, Mass.GRAM) == number


@given(
    st.text(alphabet=string.digits + ".,", min_size=3, max_size=12).filter(lambda text: sum(map(text.count, ".,")) > 1)
)
def test_two_marks_are_never_read(text):
    with pytest.raises(NotUnderstood):
        read_number(text, Temperature.CELSIUS)


@given(st.decimals("0.001", 500, places=3), st.sampled_from(Mass))
def test_there_and_back_is_the_same(weight, unit):
    assert abs(from_grams(grams(weight, unit), unit) - weight) < Decimal("1e-20")
