"""The words of care."""

from django.utils.translation import override

from casting.presenters.care import CARE, care_words


def test_each_line_is_said_in_both_languages():
    for key in CARE:
        with override("es"):
            spanish = str(care_words(key))
        assert spanish != str(care_words(key))
