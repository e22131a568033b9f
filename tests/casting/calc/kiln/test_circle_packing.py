"""Circles on a kiln floor: the places kept from circle to circle are those that all pairs give."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.kiln.circle_packing import WAYS, _corners, _free_of, _one_more, pack_circles, pack_in_turn

outsides = st.lists(st.sampled_from([54.8, 67.0, 80.0, 93.0]), min_size=2, max_size=18)


@given(outsides, st.sampled_from(WAYS))
@settings(max_examples=40, deadline=None)
def test_the_places_free_for_a_circle_are_all_that_pairs_of_circles_and_sides_give(across, way):
    across = tuple(sorted(across, reverse=True))
    for count in range(1, len(across) + 1):
        found = _one_more(across[:count], 400.0, 330.0, way)
        before = _one_more(across[: count - 1], 400.0, 330.0, way)[0] if count > 1 else ()
        half = across[count - 1] / 2
        grown = np.array([(*spot, half + other / 2) for spot, other in zip(before, across, strict=False)]).reshape(
            -1, 3
        )
        all_pairs = _free_of(grown, _corners(grown, half, 400.0, 330.0))
        if found is None:
            assert not len(all_pairs)
            return
        assert {tuple(spot) for spot in np.round(found[1], 6)} == {tuple(spot) for spot in np.round(all_pairs, 6)}


@given(outsides, st.booleans())
@settings(max_examples=30, deadline=None)
def test_circles_that_are_packed_lie_apart_and_on_the_floor(across, hard):
    across = tuple(sorted(across, reverse=True))
    found = pack_circles(across, 400.0, 330.0, hard)
    if found is None:
        return
    for one, (x, y) in zip(across, found, strict=True):
        assert one / 2 - 1e-3 <= x <= 400 - one / 2 + 1e-3
        assert one / 2 - 1e-3 <= y <= 330 - one / 2 + 1e-3
    for (one, here), (other, there) in combinations(zip(across, found, strict=True), 2):
        assert math.dist(here, there) >= (one + other) / 2 - 1e-3


def test_four_circles_fill_a_square_and_a_fifth_finds_no_place():
    assert sorted(pack_circles((10.0,) * 4, 20.0, 20.0, False)) == [(5, 5), (5, 15), (15, 5), (15, 15)]
    assert pack_circles((10.0,) * 5, 20.0, 20.0, True) is None


def test_circles_in_turn_stand_from_the_front_backward():
    first, second = pack_in_turn((10.0, 30.0), 30.0, 50.0)
    assert first[1] < second[1]
    assert pack_in_turn((), 30.0, 40.0) == ()
    assert pack_in_turn((10.0, 31.0), 30.0, 40.0) is None and pack_in_turn((30.0, 30.0), 30.0, 50.0) is None
