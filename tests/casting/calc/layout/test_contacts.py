"""Contacts between boxes: gaps, directions and lever arms by hand, gaps against shapely, padding of batches."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.layout.contacts import Constraints, contacts, padded, pairs_of

BASE = Base(63.5, 24, 6, 7, 3)
RING = Footprint(20, 6, 6.5)
SQUARE = Footprint(2, 2, 6.5)

halves = st.integers(20, 150).map(lambda n: n / 10)
poses = st.tuples(st.floats(-25, 25), st.floats(-25, 25), st.floats(0, 360))


def state(*poses):
    return padded([np.array([[(x, y, math.radians(turn)) for x, y, turn in poses]])])


def contacts_of(footprints, *poses):
    constraints = Constraints.of([(footprints, BASE)], [1])
    return contacts(constraints.pairs, constraints.boxes(state(*poses))[0])


def polygon(footprint, pose):
    box = shapely.box(-footprint.width_mm / 2, -footprint.depth_mm / 2, footprint.width_mm / 2, footprint.depth_mm / 2)
    return translate(rotate(box, pose[2], origin=(0, 0)), pose[0], pose[1])


def test_pairs_are_waxes_with_waxes_then_paths_with_waxes():
    pairs = pairs_of(2, 2)
    assert (pairs.first.tolist(), pairs.second.tolist()) == ([0, 2, 3], [1, 1, 0])
    assert (pairs.only_waxes, pairs.paths.tolist(), pairs.feet.tolist()) == (1, [2, 3], [0, 1])
    # firsts 0, path of 0, path of 1, then seconds 1, 1, 0
    assert pairs.of_wax.tolist() == [[0, 1, 5], [2, 3, 4]]
    # of n waxes n (n - 1) / 2 pairs, and n (n - 1) of a path and a wax
    assert len(pairs_of(5, 5).first) == 10 + 20


def test_the_fullest_flask_says_how_many_waxes_a_batch_has():
    trials = padded([np.ones((2, 1, 3)), np.full((1, 3, 3), 5.0)])
    assert trials.shape == (3, 3, 3)
    assert trials[0].T.tolist() == [[1, 0, 0], [1, 0, 0], [5, 5, 5]]


def test_each_trial_has_the_constraints_of_its_flask():
    wide = Base(101.6, 36, 5, 9, 4)
    batch = Constraints.of([([RING], BASE), ([RING, SQUARE], wide)], [1, 2])
    assert batch.along.tolist() == [[10, 10, 10], [1, 1, 1]]
    # half the diameter less the wall of the wax; padding waxes have no wall
    assert batch.usable.tolist() == [[25.25, 44.3, 44.3], [math.inf, 44.3, 44.3]]
    assert batch.hub.tolist() == [12, 18, 18] and batch.reach.tolist() == [19, 27, 27]
    assert batch.need.T.tolist() == [[-math.inf] * 3, [5, 4, 4], [5, 4, 4]]
    assert batch.only(np.array([True, False, True])).reach.tolist() == [19, 27]


def test_sides_that_face_one_another():
    # 11 - 6 = 5 mm apart, the second above the first
    found = contacts_of([RING, RING], (0, -5.5, 0), (0, 5.5, 0))
    assert found.gap[0, 0] == pytest.approx(5)
    assert (found.x[0, 0], found.y[0, 0]) == pytest.approx((0, 1))


def test_corners_that_face_one_another():
    # corners (10, 3) and (14, 6): 5 mm apart in the direction (4, 3) / 5
    found = contacts_of([RING, SQUARE], (0, 0, 0), (15, 7, 0))
    assert found.gap[0, 0] == pytest.approx(5)
    assert (found.x[0, 0], found.y[0, 0]) == pytest.approx((0.8, 0.6))
    # lever arms: the corner from its box's middle, crossed with the direction: (10, 3) and (-1, -1)
    assert found.first[0, 0] == pytest.approx(10 * 0.6 - 3 * 0.8)
    assert found.second[0, 0] == pytest.approx(-1 * 0.6 + 1 * 0.8)


def test_an_overlap_is_as_deep_as_the_shortest_way_out():
    # 2 mm from middle to middle of waxes 6 mm deep
    found = contacts_of([RING, RING], (0, -1, 0), (0, 1, 0))
    assert found.gap[0, 0] == pytest.approx(-4)
    assert (found.x[0, 0], found.y[0, 0]) == pytest.approx((0, 1))


def test_a_path_runs_from_the_hub_to_the_foot():
    # The hub ends at 12, the foot is at 19: the path's middle is at 15.5. The square, 2 mm each way and turned by
    # 45 degrees, has its lowest corner sqrt(2) below (15, 4).
    found = contacts_of([RING, SQUARE], (19, 0, 90), (15, 4, 45))
    assert found.gap[1, 0] == pytest.approx(4 - math.sqrt(2))
    assert (found.x[1, 0], found.y[1, 0]) == pytest.approx((0, 1))
    assert found.on_path[0, 0] == pytest.approx(15 - 15.5)


@given(halves, halves, halves, halves, poses, poses)
@settings(max_examples=200, deadline=None)
def test_gaps_are_shapelys_distances(long, short, other_long, other_short, pose, other_pose):
    footprints = [Footprint(2 * long, 2 * short, 6.5), Footprint(2 * other_long, 2 * other_short, 6.5)]
    one, other = polygon(footprints[0], pose), polygon(footprints[1], other_pose)
    gap = contacts_of(footprints, pose, other_pose).gap[0, 0]
    assert max(gap, 0.0) == pytest.approx(one.distance(other), abs=1e-6)
    assert (gap < -1e-6) <= (one.intersection(other).area > 0)
