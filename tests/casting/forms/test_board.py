"""What the board posts: read as a move, or refused with what was entered."""

import pytest
from django.http import QueryDict

from casting.calc.values.day_plan import Place
from casting.forms.board import number_of, read_move, read_revision, read_spot, read_tier
from casting.models.errors import NotPlanned


def posted(text):
    return QueryDict(text)


def test_a_wax_carried_to_a_spot():
    move = read_move(posted("do=carry&tag=C3&to=B&x_mm=-3.5&y_mm=10&turn_deg=40"))
    assert (move.do, move.tag, move.label, move.size, move.spot) == ("carry", "C3", "B", "", Place(-3.5, 10.0, 40.0))


def test_a_wax_carried_to_an_empty_flask_of_a_size():
    move = read_move(posted("do=carry&tag=C3&to=size:51x64"))
    assert (move.label, move.size, move.spot) == ("", "51x64", None)


def test_a_turn_a_nudge_and_a_split():
    assert read_move(posted("do=turn&tag=C3&shift=0+0+-15")).shift == (0, 0, -15)
    assert read_move(posted("do=nudge&tag=C3&shift=1+0+0")).shift == (1, 0, 0)
    assert read_move(posted("do=split&label=B&tags=C3&tags=E4")).tags == ("C3", "E4")


def test_a_tier_and_an_hour_of_a_tree():
    move = read_move(posted("do=carry&tag=C3&to=A&tier=2&hour=4"))
    assert (move.tier, move.hour) == (2, 4) and read_tier("3") == 3 and read_tier("") == read_tier(None) == 0


@pytest.mark.parametrize("wrong", ["tier=top", "tier=-1", "tier=999", "hour=13", "hour=4.5"])
def test_a_tier_or_hour_that_is_none_is_refused_with_what_was_entered(wrong):
    with pytest.raises(NotPlanned, match=f"“{wrong.split('=')[1]}” is entered, but it must be a whole number up to"):
        read_move(posted(f"do=carry&tag=C3&to=A&{wrong}"))


@pytest.mark.parametrize("text", ["abc", "nan", "inf", "-inf", "1e9", "1,5", "0x10", "٣x"])
def test_a_position_that_is_no_number_on_the_board_is_refused_with_what_was_entered(text):
    with pytest.raises(NotPlanned) as refused:
        read_move(_with(x_mm=text))
    assert f"“{text}” is entered" in refused.value.sentence and "500 mm" in refused.value.sentence


def _with(**more):
    given = QueryDict("do=carry&tag=C3&to=B&y_mm=1", mutable=True)
    given.update(more)
    return given


def test_half_a_spot_is_refused_and_none_is_none():
    with pytest.raises(NotPlanned, match="must be a number"):
        read_spot({"x_mm": "3"}.get)
    assert read_spot({}.get) is None
    assert number_of("500", 500, "mm") == 500
    with pytest.raises(NotPlanned, match="up to 500 mm"):
        number_of("500.1", 500, "mm")


@pytest.mark.parametrize("do", ["", "undo", "drop table", "PLANNED"])
def test_another_step_than_those_of_the_board_is_refused(do):
    with pytest.raises(NotPlanned, match="is no step of this board"):
        read_move(posted(f"do={do}"))


@pytest.mark.parametrize("text", ["", "-1", "1.0", "x", "1" * 9, "²"])
def test_a_revision_is_a_whole_number(text):
    given = QueryDict(mutable=True)
    given["revision"] = text
    with pytest.raises(NotPlanned, match="is no revision"):
        read_revision(given)
    assert read_revision(posted("revision=12")) == 12
