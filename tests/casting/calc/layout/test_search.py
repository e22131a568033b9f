"""Laws of the search: what it gives holds, comes out the same, and does not follow the order."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.search import _layout, find_layout, find_layouts

SMALL = Base(diameter_mm=63.5, hub_mm=24, between_mm=6, reach_mm=7, clear_mm=3)
LARGE = Base(diameter_mm=88.9, hub_mm=32, between_mm=6, reach_mm=7, clear_mm=3)

tenths = st.integers(25, 340).map(lambda n: n / 10)
waxes = st.builds(Footprint, tenths, tenths.map(lambda n: min(n, 17.0)), st.sampled_from([6.5, 6.5, 6.5, 10.0]))
groups = st.lists(waxes, min_size=1, max_size=6)
bases = st.sampled_from([SMALL, LARGE])


@given(groups, bases)
@settings(max_examples=80, deadline=None)
def test_a_layout_that_is_found_holds_as_printed(group, base):
    places = find_layout(group, base)
    if places is None:
        return
    assert faults(group, places, base) == ()
    assert not cannot_share(group, base)
    assert all(round(n, 3) == n for place in places for n in (place.x_mm, place.y_mm, place.turn_deg))
    assert all(0 <= place.turn_deg < 180 for place in places)


@given(groups, bases, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_the_order_of_the_waxes_does_not_matter(group, base, chance):
    places = find_layout(group, base)
    order = chance.sample(range(len(group)), len(group))
    mixed = find_layout([group[i] for i in order], base)
    assert (mixed is None) is (places is None)
    if places is not None:
        stood = sorted((one, (at.x_mm, at.y_mm, at.turn_deg)) for one, at in zip(map(key, group), places, strict=True))
        again = sorted((key(group[i]), (at.x_mm, at.y_mm, at.turn_deg)) for i, at in zip(order, mixed, strict=True))
        assert stood == again


def key(one: Footprint) -> tuple[float, float, float]:
    return one.width_mm, one.depth_mm, one.wall_mm


@given(groups, bases)
@settings(max_examples=20, deadline=None)
def test_the_same_question_has_the_same_answer_when_worked_out_again(group, base):
    first = find_layout(group, base)
    _layout.cache_clear()
    assert find_layout(group, base) == first


@given(groups)
@settings(max_examples=25, deadline=None)
def test_what_little_work_finds_more_work_finds(group):
    little = find_layout(group, SMALL, work=6)
    assume(little is not None)
    assert find_layout(group, SMALL, work=58) == little


@given(groups, bases)
@settings(max_examples=25, deadline=None)
def test_width_and_depth_may_be_given_either_way_round(group, base):
    turned = [Footprint(one.depth_mm, one.width_mm, one.wall_mm) for one in group]
    places, again = find_layout(group, base), find_layout(turned, base)
    assert (places is None) is (again is None)
    if again is not None:
        assert faults(turned, again, base) == ()


@given(st.lists(st.tuples(groups, bases), min_size=1, max_size=12))
@settings(max_examples=25, deadline=None)
def test_what_is_found_beside_others_holds_and_is_what_is_found_alone(asked):
    together = find_layouts(asked)
    for (group, base), places in zip(asked, together, strict=True):
        assert places is None or faults(group, places, base) == ()
        assert find_layouts([(group, base)]) == [places]


def test_flasks_half_full_are_all_laid_out_beside_one_another():
    bands = [Footprint(22, 6, 6.5)]
    asked = [(bands * count, base) for base in (SMALL, LARGE) for count in (1, 2, 3)] + [(bands * 5, LARGE)]
    assert None not in find_layouts(asked)
    assert find_layouts([(bands, SMALL), (bands * 60, SMALL)])[1] is None


def test_a_wax_alone_stands_in_the_middle():
    # Usable radius 31.75 - 6.5 = 25.25: a diagonal of 50.5 just fits, 50.51 does not.
    (place,) = find_layout([Footprint(50.5 * 0.8, 50.5 * 0.6, 6.5)], SMALL) or [None]
    assert (place.x_mm, place.y_mm) == (0, 0)
    assert find_layout([Footprint(50.51 * 0.8, 50.51 * 0.6, 6.5)], SMALL) is None


def test_no_wax_is_no_question():
    assert find_layout([], SMALL) == ()


def test_rings_side_by_side_are_found():
    # Four rings of 22 x 6: rows at -18, -6, 6 and 18 mm. The outermost corner is
    # hypot(21, 11) = 23.7 < 25.25, the outermost foot 18 < 12 + 7 and its path runs 3 mm clear of the next.
    rings = [Footprint(22, 6, 6.5)] * 4
    assert find_layout(rings, SMALL) is not None


def test_two_dozen_studs_are_not_found():
    # Feet within 19 mm of the axis, 4 + 6 = 10 mm apart at least: by area of discs of 5 mm in a
    # circle of 24 mm at most 24^2 / 5^2 = 23 stand there.
    assert cannot_share([Footprint(4, 4, 6.5)] * 24, SMALL)
    assert find_layout([Footprint(4, 4, 6.5)] * 24, SMALL, work=6) is None


def test_a_larger_flask_takes_what_a_smaller_took():
    rings = [Footprint(22, 6, 6.5)] * 3
    for diameter_mm, hub_mm in ((63.5, 24), (76.2, 27), (88.9, 32), (101.6, 36)):
        places = find_layout(rings, Base(diameter_mm, hub_mm, 6, 7, 3))
        assert places is not None
        assert max(math.hypot(at.x_mm, at.y_mm) for at in places) <= hub_mm / 2 + 7.001


@pytest.mark.parametrize(
    ("group", "base"),
    [
        # Rows at +-6: the farthest corner at hypot(10, 6 + 3), and no thousandth of wall over.
        ([Footprint(20, 6, 6.5)] * 2, replace(SMALL, diameter_mm=2 * (math.hypot(10, 9) + 6.5))),
        # Rows at -12, 0 and 12.
        ([Footprint(20, 6, 6.5)] * 3, replace(SMALL, diameter_mm=2 * (math.hypot(10, 15) + 6.5))),
        # Feet at 1.5 + 3.5 = 5 mm on both sides: 10 - 2 - 2 = 6 mm between.
        ([Footprint(20, 4, 6.5)] * 2, Base(80, 3, 6, 3.5, 3)),
    ],
)
def test_what_fits_exactly_is_found(group, base):
    assert find_layout(group, base) is not None
