"""Names as they are kept."""

import pytest
from django.core.exceptions import ValidationError

from school.names import count_graphemes, tidy_name


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
