"""The history of defects in words: metals whole, their flasks below, and few pieces told as few."""

import pytest

from casting.models import PieceDefect
from casting.presenters.looking_back.defect_history import SHORT, heads, history_lines
from tests.casting.past_days import earlier

pytestmark = pytest.mark.django_db


def told(line):
    return dict(zip(heads(), line.cells, strict=True))


def test_shares_are_of_the_pieces_cast(planned, school):
    for back in (7, 14, 21):
        past = earlier(planned, back)
    PieceDefect.objects.create(wax=past.waxes.first(), kind="rough", where="thin")
    metal, flask = history_lines(school)
    assert (metal.called, metal.is_metal, metal.pieces, metal.few) == ("Sterling silver", True, 9, False)
    assert not flask.is_metal and "63.5" in flask.called and flask.cells == metal.cells
    # One of nine pieces: 11 %.
    assert told(metal)["with a defect"] == told(metal)["rough"] == "1 (11\u202f%)"
    assert told(metal)["not full"] == "–"


def test_three_pieces_are_few_and_no_day_is_nothing(planned, school):
    assert history_lines(school) == []
    earlier(planned, 7)
    assert all(line.few for line in history_lines(school))


def test_every_kind_has_a_head():
    assert list(SHORT) == list(PieceDefect.Kind) and len(heads()) == 1 + len(SHORT)
