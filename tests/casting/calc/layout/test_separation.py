"""Separation steps: what they measure by hand, that they end in layouts, that a batch changes nothing."""

import math

import numpy as np
import pytest

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.contacts import Constraints, padded
from casting.calc.layout.separation import AIM, push

BASE = Base(63.5, 24, 6, 7, 3)
RING = Footprint(20, 6, 6.5)


def rows(*poses):
    return np.array([[(x, y, math.radians(turn)) for x, y, turn in poses]])


def state(*poses):
    return padded([rows(*poses)])


def on_base(*footprints, base=BASE):
    return Constraints.of([(footprints, base)], [1])


def test_a_layout_with_room_to_spare_is_left_as_it_is():
    # 14 mm from middle to middle, 6 deep each: a gap of 8; corners hypot(10, 10) = 14.1 of 25.25 mm
    found = push(on_base(RING, RING), state((0, 7, 0), (0, -7, 0)))
    assert found.worst.tolist() == [0] and found.total.tolist() == [0] and not found.move.any()


def test_a_gap_too_narrow_is_measured_and_widened_evenly():
    # 11 - 6 = 5 mm apart where 6 are asked
    found = push(on_base(RING, RING), state((0, 5.5, 0), (0, -5.5, 0)))
    assert found.worst == pytest.approx([1 + AIM])
    one, other = found.move[1, :, 0]
    assert one > 0 > other and one == pytest.approx(-other)


def test_an_overlap_lacks_the_gap_and_its_own_depth():
    # 2 mm from middle to middle: 4 mm of overlap, and 6 are asked between
    found = push(on_base(RING, RING), state((0, 1, 0), (0, -1, 0)))
    assert found.worst == pytest.approx([10 + AIM])


def test_a_corner_beyond_the_wall_and_a_foot_beyond_reach_come_back():
    # The corner (30, 3) is 30.1496 from the axis, 25.25 are usable; the foot is 20 from it, 19 are in reach.
    found = push(on_base(RING, Footprint(2, 2, 6.5)), state((20, 0, 0), (-5, 0, 0)))
    assert found.worst == pytest.approx([math.hypot(30, 3) - 25.25 + AIM])
    assert found.move[0, 0, 0] < 0
    # in all: the corner, the foot 1 mm out of reach, and no other
    assert found.walls.max(axis=0) == pytest.approx([math.hypot(30, 3) - 25.25 + AIM])
    assert found.reach[:, 0] == pytest.approx([1 + AIM, 5 - 19 + AIM])
    assert found.total == pytest.approx([math.hypot(30, 3) - 25.25 + 1 + 2 * AIM])


def test_steps_end_in_a_layout():
    constraints, trial = on_base(RING, RING, RING), state((0, 4, 0), (0, -4, 0), (0.5, 0, 5))
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
    trials = [rows((0, 5, 10), (1, -4, 80)), rows((0, 1, 0), (0, -1, 30), (2, 0, 90))]
    together = push(Constraints.of([([RING, RING], BASE), (three, wide)], [1, 1]), padded(trials))
    alone = [
        push(on_base(RING, RING), padded(trials[:1])),
        push(on_base(*three, base=wide), padded(trials[1:])),
    ]
    for nth, one in enumerate(alone):
        count = one.move.shape[1]
        assert together.move[:, :count, nth] == pytest.approx(one.move[..., 0])
        assert together.worst[nth] == pytest.approx(one.worst[0])
    assert not together.move[:, 2, 0].any()


def test_gaps_and_walls_are_asked_for_more_than_paths_and_reach():
    # 14 - 6 = 8 mm apart and corners 14.14 of 25.25 mm; feet 7 from the axis, on the hub, of 19 mm
    trial = state((0, 7, 0), (0, -7, 0))
    asked = [push(on_base(RING, RING), trial, aim_mm=0.0, wider_mm=wider) for wider in (0.0, 3.0)]
    assert [one.worst_of_room[0] for one in asked] == pytest.approx([6 - 8, 6 + 3 - 8])
    assert [one.worst_of_access[0] for one in asked] == pytest.approx([7 - 19, 7 - 19])
    assert not asked[0].move.any() and asked[1].move[1, 0, 0] > 0


def test_a_wax_beside_a_path_turns_the_foot_about_the_axis():
    # The path along x runs from 12 to 18; the square's lower side is 2 mm above it, and 3 are asked.
    found = push(on_base(RING, Footprint(2, 2, 6.5)), state((18, 0, 90), (5, 12, 0)), aim_mm=0.0)
    assert found.paths.max() < 0
    found = push(on_base(Footprint(2, 2, 6.5), Footprint(2, 2, 6.5)), state((18, 0, 0), (14, 3, 0)), aim_mm=0.0)
    assert found.paths[0] == pytest.approx([1])


def test_a_corner_on_the_axis_is_no_wall():
    found = push(on_base(RING, RING), state((10, 3, 0), (-10, -10, 0)))
    assert np.isfinite(found.move).all()
