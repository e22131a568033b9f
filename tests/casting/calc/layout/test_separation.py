"""Separation steps: what they measure by hand, that they end in layouts, that a batch changes nothing."""

import math

import numpy as np
import pytest

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.separation import AIM, Constraints, padded, pairs_of, push

BASE = Base(63.5, 24, 6, 7, 3)
RING = Footprint(20, 6, 6.5)


def state(*poses):
    return np.array([[(x, y, math.radians(turn)) for x, y, turn in poses]])


def test_pairs_are_waxes_with_waxes_then_paths_with_waxes():
    assert pairs_of(2).tolist() == [[0, 2, 3], [1, 1, 0]]
    # of n waxes n (n - 1) / 2 pairs, and n (n - 1) of a path and a wax
    assert pairs_of(5).shape == (2, 10 + 20)


def test_a_layout_with_room_to_spare_is_left_as_it_is():
    # 14 mm from middle to middle, 6 deep each: a gap of 8; corners hypot(10, 10) = 14.1 of 25.25 mm
    found = push(Constraints.of([RING, RING], BASE), state((0, 7, 0), (0, -7, 0)))
    assert found.worst.tolist() == [0] and found.total.tolist() == [0] and not found.move.any()


def test_a_gap_too_narrow_is_measured_and_widened_evenly():
    # 11 - 6 = 5 mm apart where 6 are asked
    found = push(Constraints.of([RING, RING], BASE), state((0, 5.5, 0), (0, -5.5, 0)))
    assert found.worst == pytest.approx([1 + AIM])
    one, other = found.move[0]
    assert one[1] > 0 > other[1] and one[1] == pytest.approx(-other[1])


def test_an_overlap_lacks_the_gap_and_its_own_depth():
    # 2 mm from middle to middle: 4 mm of overlap, and 6 are asked between
    found = push(Constraints.of([RING, RING], BASE), state((0, 1, 0), (0, -1, 0)))
    assert found.worst == pytest.approx([10 + AIM])


def test_a_corner_beyond_the_wall_and_a_foot_beyond_reach_come_back():
    # The corner (30, 3) is 30.1496 from the axis, 25.25 are usable; the foot is 20 from it, 19 are in reach.
    found = push(Constraints.of([RING, Footprint(2, 2, 6.5)], BASE), state((20, 0, 0), (-5, 0, 0)))
    assert found.worst == pytest.approx([math.hypot(30, 3) - 25.25 + AIM])
    assert found.move[0, 0, 0] < 0


def test_steps_end_in_a_layout():
    constraints, trial = Constraints.of([RING] * 3, BASE), state((0, 4, 0), (0, -4, 0), (0.5, 0, 5))
    assert push(constraints, trial).worst[0] > 1
    for _ in range(200):
        step = push(constraints, trial)
        if step.worst[0] <= AIM:
            break
        trial = trial + step.move
    assert step.worst[0] <= AIM


def test_padding_and_other_flasks_change_nothing():
    wide = Base(101.6, 36, 6, 7, 3)
    three = [Footprint(9, 7, 6.5)] * 3
    trials = [state((0, 5, 10), (1, -4, 80)), state((0, 1, 0), (0, -1, 30), (2, 0, 90))]
    together = push(Constraints.of_flasks([([RING, RING], BASE), (three, wide)], [1, 1]), padded(trials))
    alone = [push(Constraints.of([RING, RING], BASE), trials[0]), push(Constraints.of(three, wide), trials[1])]
    for nth, one in enumerate(alone):
        count = one.move.shape[1]
        assert together.move[nth, :count] == pytest.approx(one.move[0])
        assert together.worst[nth] == pytest.approx(one.worst[0])
    assert not together.move[0, 2].any()
