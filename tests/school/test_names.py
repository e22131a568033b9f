"""Names as they are kept."""

import pytest
from django.core.exceptions import ValidationError

from school.names import (
    are_near,
    count_graphemes,
    name_key,
    name_with_spelling,
    printed_name,
    tidy_name,
    tidy_spelling,
    tidy_text,
    told_apart,
    unprinted_letters,
)


def test_a_name_is_kept_in_one_spelling_without_control_characters():
    # e + combining acute is the one letter U+00E9 in NFC (Unicode Standard Annex 15)
    assert tidy_name("  Ele\u0301na\u0000 \t Rossi\u202e ") == "El\u00e9na Rossi"


def test_letters_are_counted_as_a_reader_sees_them():
    # A letter with its accent; a family of three joined people; a thumb with a skin tone.
    assert count_graphemes("e\u0301") == 1
    assert count_graphemes("\U0001f468\u200d\U0001f469\u200d\U0001f467") == 1
    assert count_graphemes("\U0001f44d\U0001f3fd") == 1
    assert tidy_name("\u0928" * 80) == "\u0928" * 80
    with pytest.raises(ValidationError):
        tidy_name("\u0928" * 81)


@pytest.mark.parametrize(
    ("name", "spelled", "printed", "on_screen"),
    [
        ("山田 花子", "Yamada Hanako", "Yamada Hanako", "山田 花子 (Yamada Hanako)"),
        ("José 花", "José Hana", "José Hana", "José 花 (José Hana)"),
        ("山田 花子", "", "山田 花子", "山田 花子"),
        # All its letters are there, and emoji are no letters: the name stays.
        ("Łukasz", "Lukasz", "Łukasz", "Łukasz"),
        ("Ada 💍", "Ada", "Ada 💍", "Ada 💍"),
    ],
)
def test_papers_print_the_spelled_name_only_where_a_letter_is_missing(name, spelled, printed, on_screen):
    assert printed_name(name, spelled) == printed
    assert name_with_spelling(name, spelled) == on_screen


@pytest.mark.parametrize(
    ("typed", "missing"),
    [("山田", "山, 田"), ("José", ""), ("José\u3000Ruiz", ""), ("e\u0301", ""), ("", ""), ("花" * 81, "")],
)
def test_the_letters_that_papers_lack_are_those_of_the_tidied_name(typed, missing):
    assert unprinted_letters(typed) == missing


def test_a_spelled_name_is_tidied_and_may_be_empty():
    assert tidy_spelling("  Yamada \t Hanako ") == "Yamada Hanako"
    assert tidy_spelling("  ") == ""


@pytest.mark.parametrize(("spelled", "missing"), [("Hanako 花", "花"), ("はなこ", "は, な, こ"), ("Hanako 💍", "💍")])
def test_a_spelled_name_that_papers_cannot_print_either_is_refused(spelled, missing):
    with pytest.raises(ValidationError) as refusal:
        tidy_spelling(spelled)
    assert refusal.value.messages == [
        f"You wrote “{spelled}”, but our papers cannot print {missing}. Leave that out or write it in other letters, "
        "such as Latin ones; or leave this field empty."
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [("Ana", "Ana Martínez"), ("Ana M.", "Ana Martínez"), ("ana martinez", "Ana Martínez"), ("Jose Luis", "José-Luis"),
     ("Sunniva Okorro", "Sunniva Okoro"), ("山田", "山田 花子")],
)  # fmt: skip
def test_names_that_may_be_one_persons_are_near(one, other):
    assert are_near(one, other) and are_near(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Ana Martínez", "Eva Martínez"), ("Ana", "Hannah"), ("Tobiah Renn", "Sunniva Okoro"), ("...", "Ana"),
     ("Maria Rossi", "Mario Bianchi")],
)  # fmt: skip
def test_names_of_two_people_are_not(one, other):
    assert not are_near(one, other) and not are_near(other, one)


def test_two_of_one_name_are_told_apart_by_the_first_free_number():
    assert told_apart("Ana", {"ana"}) == "Ana (2)"
    assert told_apart("Ana", {"ana", "ana (2)", "ana (4)"}) == "Ana (3)"
    assert name_key(" ANA  m.") == name_key("Ana M.")


def test_a_line_of_text_keeps_its_words_and_loses_what_nobody_sees():
    assert tidy_text("  no\tpolish \u202einside\u0007 ") == "no polish inside"
    assert tidy_text(" \n ") == ""
