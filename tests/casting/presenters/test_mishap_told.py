"""What went wrong with a flask in a few words: a poured one is never told as not poured, a late one not at all."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils.translation import override

from casting.models import FlaskMishap
from casting.presenters.mishap_told import told_of

# 10:40 in Denver, in winter.
AT = datetime(2027, 1, 10, 17, 40, tzinfo=UTC)


def told(state, *met):
    rows = [FlaskMishap(label="B", kind=kind, left=left, at=AT) for kind, left in met]
    return {label: one.words for label, one in told_of(rows, {"B": state}, ZoneInfo("America/Denver")).items()}


@pytest.mark.parametrize(
    ("state", "met", "words"),
    [
        ("invested", ("cracked", "unpoured"), "lost at 10:40: cracked; not poured"),
        ("invested", ("power", "cold"), "lost at 10:40: power cut; not poured"),
        ("poured", ("leaked", "none"), "leaked at 10:40, nothing is in it"),
        ("poured", ("frozen", "metal"), "frozen in the cup at 10:40, metal is in it"),
        ("poured", ("misrun", "metal"), "misrun, seen at 10:40"),
    ],
)
def test_it_says_what_happened_when_and_what_is_left(state, met, words):
    assert told(state, met) == {"B": words}


def test_what_was_poured_all_the_same_is_not_told_as_lost():
    assert told("poured", ("cracked", "unpoured")) == {}
    assert told("poured", ("cracked", "unpoured"), ("leaked", "none")) == {"B": "leaked at 10:40, nothing is in it"}


def test_a_flask_that_is_late_or_stayed_hot_has_lost_nothing():
    assert told("invested", ("late", "late_20"), ("power", "hot")) == {}


def test_in_spanish():
    with override("es"):
        assert told("invested", ("cracked", "unpoured")) == {"B": "perdido a las 10:40: agrietado; no se cuela"}
