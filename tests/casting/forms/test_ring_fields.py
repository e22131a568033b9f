"""A ring by its size and band: what follows from it, and what is refused."""

from decimal import Decimal

import pytest

from casting.calc.quantities.ring import RingScale
from casting.forms.hand_in import WaxForm
from casting.forms.ring_fields import read_size
from casting.units import NotUnderstood
from tests.casting_factories import typed

EMPTY = {"width_mm": "", "depth_mm": "", "height_mm": ""}
BAND = {"band_mm": "6", "wall_mm": "2", "head_mm": "", "sprue_long_mm": "9"}


def ring(day, scale, size, **changed):
    form = WaxForm(typed(day, **(EMPTY | BAND | {"ring_scale": scale, "ring_size": size} | changed)), day=day)
    form.is_valid()
    return form


@pytest.mark.parametrize(
    ("scale", "size", "width"),
    [
        # Insides by hand: (0.458 + 0.032 x 7) x 25.4 = 17.3228; (36.25 + 1.25 x 14.5) / pi = 17.3082;
        # 54 / pi = 17.1887; 2.125 x 25.4 / pi = 17.1810. Each over 0.99, with two walls of 2.
        ("us", "7", "21.5"), ("uk", "N 1/2", "21.5"), ("uk", "n½", "21.5"), ("iso", "54", "21.4"),
        ("inches", "2 1/8", "21.4"), ("us", "6 1/2", "21.1"), ("us", "6,5", "21.1"),
    ],
)  # fmt: skip
def test_the_sides_follow_from_size_band_wall_and_sprue(day, scale, size, width):
    form = ring(day, scale, size)
    assert not form.errors
    found = form.cleaned_data
    assert (found["width_mm"], found["depth_mm"]) == (Decimal(width), 6)
    assert abs(found["height_mm"] - Decimal(width) - 9) <= Decimal("0.1")


def test_a_head_stands_on_top(day):
    assert ring(day, "us", "7", head_mm="3").cleaned_data["height_mm"] == Decimal("33.5")


@pytest.mark.parametrize(
    ("scale", "size", "said"),
    [
        ("iso", "0", "ISO sizes run from 41 to 76, and you wrote 0."),
        ("iso", "14", "if 14 is a Swiss size, it is 54."),
        ("iso", "17.3", "Is it the diameter?"),
        ("iso", "77", "run from 41 to 76, and you wrote 77"),
        ("us", "17", "run from 0 to 16"),
        ("uk", "7", "“7” is no UK size."),
        ("uk", "NN", "is no UK size"),
        ("us", "nan", "is not a number"),
        ("us", "-1", "is below zero"),
        ("inches", "17.3", "run from 1.3 to 3.5"),
    ],
)
def test_what_is_no_size_is_refused_at_its_box(day, scale, size, said):
    form = ring(day, scale, size)
    assert said in form.errors["ring_size"][0]


@pytest.mark.parametrize("part", ["band_mm", "wall_mm", "sprue_long_mm"])
def test_a_part_that_is_missing_is_asked_for(day, part):
    form = ring(day, "us", "7", **{part: ""})
    assert list(form.errors) == [part]


def test_a_size_and_the_sides_are_too_much(day):
    assert "Clear one of the two" in ring(day, "us", "7", width_mm="22").errors["ring_size"][0]


def test_without_a_size_the_sides_are_asked_for_and_the_parts_of_a_ring_are_not(day):
    form = WaxForm(typed(day, **EMPTY), day=day)
    assert not form.is_valid() and list(form.errors) == ["width_mm", "depth_mm", "height_mm"]
    fair = WaxForm(typed(day), day=day)
    assert fair.is_valid() and fair.ring is None


def test_the_weight_is_never_shrunk(day):
    assert ring(day, "us", "7").cleaned_data["wax_g"] == Decimal("3.20")


def test_a_letter_is_no_number_on_another_scale():
    with pytest.raises(NotUnderstood):
        read_size("N", RingScale.US)
