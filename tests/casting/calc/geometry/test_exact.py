"""Geometry in whole picometres, against decimal arithmetic and by hand."""

import math
from decimal import Decimal, getcontext

import pytest

from casting.calc.geometry.exact import (
    ALLOW,
    MARGIN,
    ONE,
    cos_sin,
    is_beside,
    is_clear,
    lie_apart,
    needed_pm,
    outline_of,
    sides_of,
    square,
    to_pm,
)
from casting.calc.geometry.shapes import Footprint
from casting.calc.values.day_plan import Place

UNIT = ((0, 0), (10, 0), (10, 10), (0, 10))
"""A square of 10 pm."""


def moved(x, y):
    return tuple((a + x, b + y) for a, b in UNIT)


def test_lengths_become_whole_picometres():
    assert to_pm(0.001) == MARGIN == 10**6
    assert to_pm(-12.3456789) == -12_345_678_900


def test_a_clearance_is_asked_less_the_margin_and_never_below_none():
    assert needed_pm(3) == 3 * 10**9 - 10**6 + ALLOW
    assert needed_pm(0) == ALLOW


@pytest.mark.parametrize("quarters", range(4))
def test_turns_of_30_degrees_have_the_known_sine(quarters):
    # sin 30 = 1/2 and cos 30 = sqrt(3)/2, turned by whole quarters
    getcontext().prec = 40
    cos, sin = int(Decimal(3).sqrt() / 2 * ONE), ONE // 2
    for _ in range(quarters):
        cos, sin = -sin, cos
    found = cos_sin(30_000 + 90_000 * quarters)
    assert abs(found[0] - cos) <= 100 and abs(found[1] - sin) <= 100


def test_cosine_and_sine_make_a_unit_vector_at_any_turn():
    for millidegrees in range(0, 360_000, 7_919):
        cos, sin = cos_sin(millidegrees)
        assert abs(cos * cos + sin * sin - ONE * ONE) < 1000 * ONE


def test_corners_of_a_turned_wax_are_those_of_floating_point_to_a_nanometre():
    wax, place = Footprint(20, 6, 6.5), Place(3.5, -1.25, 17.3)
    turn = math.radians(17.3)
    along = (10 * math.cos(turn), 10 * math.sin(turn))
    across = (-3 * math.sin(turn), 3 * math.cos(turn))
    expected = [
        (3.5 + a * along[0] + b * across[0], -1.25 + a * along[1] + b * across[1])
        for a, b in ((1, 1), (-1, 1), (-1, -1), (1, -1))
    ]
    for (x, y), (to_x, to_y) in zip(outline_of(wax, place), expected, strict=True):
        assert abs(x - to_x * 1e9) < 1000 and abs(y - to_y * 1e9) < 1000


def test_squares_side_by_side_are_apart_by_their_gap_and_no_more():
    assert lie_apart(UNIT, moved(15, 0), 5)
    assert not lie_apart(UNIT, moved(15, 0), 6)


def test_corner_to_corner_counts_along_the_diagonal():
    # 3 across and 4 up: 5 from corner to corner
    assert lie_apart(UNIT, moved(13, 14), 5)
    assert not lie_apart(UNIT, moved(13, 14), 6)


def test_what_overlaps_touches_or_lies_inside_is_not_apart():
    inner = ((4, 4), (6, 4), (6, 6), (4, 6))
    for other in (moved(5, 5), moved(10, 0), inner, UNIT):
        assert not lie_apart(UNIT, other, 0)
        assert not lie_apart(other, UNIT, 0)


def test_a_turned_square_is_apart_though_the_boxes_around_both_overlap():
    # A diamond about (17, 17) reaches from 9 to 25 both ways; its side x + y = 26 lies 6 / sqrt(2) = 4.24
    # from the corner (10, 10).
    diamond = ((25, 17), (17, 25), (9, 17), (17, 9))
    assert lie_apart(UNIT, diamond, 4)
    assert not lie_apart(UNIT, diamond, 5)


def test_sides_and_points():
    assert sides_of(UNIT)[0] == ((0, 10), (0, 0)) and len(sides_of(UNIT)) == 4
    assert is_beside(UNIT, moved(11, 0)) and not is_beside(UNIT, moved(10, 0))
    # beyond the ends of a segment the ends count: (-3, 4) is 5 from (0, 0)
    assert is_clear((-3, 4), (0, 0), (10, 0), 5) and not is_clear((-3, 4), (0, 0), (10, 0), 6)
    assert is_clear((13, 4), (0, 0), (10, 0), 5) and not is_clear((13, 4), (0, 0), (10, 0), 6)
    assert square((-3, 4)) == 25
