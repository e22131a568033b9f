"""Editions of papers that are made of the day: one more for each change between prints."""

import pytest

from casting.models import PaperPrinted
from casting.papers.edition import Edition, edition_of

A, B = {"date": "a"}, {"date": "b"}


@pytest.mark.parametrize(
    ("printed", "parts", "number", "replaces"),
    [
        ([], A, 1, None),
        ([A, A], A, 1, None),
        ([A], B, 2, 0),
        ([A, B, B], B, 2, 0),
        # Changed back: a third edition, which replaces the last print of other parts.
        ([A, B], A, 3, 1),
    ],
)
def test_the_same_parts_are_the_same_edition(printed, parts, number, replaces):
    prints = [PaperPrinted(parts=one) for one in printed]
    edition = edition_of(prints, parts)
    assert edition.number == number
    assert edition.replaces is (None if replaces is None else prints[replaces])


def test_the_edition_before_is_one_less():
    assert Edition(3).before == 2
