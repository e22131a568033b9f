"""Distances worked by hand, and proofs that refute nothing which stands."""

from __future__ import annotations

import math
import random

import pytest
import shapely

from casting.calc.geometry.infeasibility import cannot_fit_alone, cannot_share, foot_within, grown_room_mm2, half_gap_mm
from casting.calc.geometry.shapes import Base, Footprint, apart, corners, gaps
from casting.calc.geometry.verify import faults
from casting.calc.values.day_plan import Place

BASE = Base(diameter_mm=63.5, hub_mm=24, between_mm=6, reach_mm=7, clear_mm=3)
RING = Footprint(20, 6, 6.5)


def test_a_quarter_turn_swaps_the_sides():
    found = corners(RING, Place(1, 2, 90))
    # Width 20 now runs along y: x = 1 +- 3, y = 2 +- 10.
    assert sorted((round(x, 9), round(y, 9)) for x, y in found) == [(-2, -8), (-2, 12), (4, -8), (4, 12)]


def test_corner_to_corner_is_measured_across():
    # Corners (10, 3) and (13, 7): 3 and 4 make 5.
    assert apart(RING, Place(0, 0, 0), RING, Place(23, 10, 0)) == pytest.approx(5)


def test_gaps_name_the_narrowest():
    # Rows at y = 6 and -6: 6 mm between; corners at hypot(10, 9).
    between, wall = gaps([RING, RING], [Place(0, 6, 0), Place(0, -6, 0)], BASE)
    assert between == pytest.approx(6)
    assert wall == pytest.approx(31.75 - math.hypot(10, 9))
    assert gaps([RING], [Place(0, 0, 0)], BASE)[0] is None


def test_a_grown_wax_is_its_rectangle_with_strips_and_quarter_circles():
    # 20 x 6 = 120; strips 2 x (20 + 6) x 3 = 156; four quarter circles pi x 9 = 28.274
    assert RING.grown_mm2(3) == pytest.approx(304.274, abs=0.001)
    # A second derivation: shapely rounds a rectangle off, its quarter circles cut to 1,000 sides each.
    assert RING.grown_mm2(3) == pytest.approx(shapely.box(-10, -3, 10, 3).buffer(3, quad_segs=1000).area, abs=0.001)


def test_grown_waxes_lie_in_the_usable_circle_grown_as_much():
    # Half of 6 mm less 0.002: 2.999. Radius 31.75 - 6.5 + 0.002 + 2.999 = 28.251 mm: pi x 798.119 = 2507.37 mm2.
    # A resin that keeps 10 mm of the wall does not make it less where another wax keeps 6.5.
    assert half_gap_mm(BASE) == pytest.approx(2.999)
    assert grown_room_mm2([RING, Footprint(8, 4, 10)], BASE) == pytest.approx(2507.37, abs=0.01)


def test_a_diagonal_of_the_usable_circle_fits_alone():
    # 2 x 25.25 = 50.5 = hypot(40.4, 30.3).
    assert not cannot_fit_alone(Footprint(40.4, 30.3, 6.5), BASE)
    assert cannot_fit_alone(Footprint(40.41, 30.31, 6.5), BASE)
    assert cannot_fit_alone(Footprint(40.4, 30.3, 10), BASE)


def test_how_far_a_foot_can_stand():
    # A 40 x 6 pendant: sqrt(25.25^2 - 20^2) - 3 = 12.413 mm; a stud is held by its reach, 12 + 7.
    assert foot_within(Footprint(40, 6, 6.5), BASE) == pytest.approx(12.413, abs=0.005)
    assert foot_within(Footprint(6, 6, 6.5), BASE) == pytest.approx(19, abs=0.005)
    assert foot_within(Footprint(51, 6, 6.5), BASE) < 0


def test_two_wide_signets_are_refuted_by_hand():
    # 40 x 15: feet within sqrt(25.25^2 - 20^2) - 7.5 = 7.91 mm, so at most 15.83 apart, yet they
    # need 7.5 + 7.5 + 6 = 21. Of 30 x 10: within 15.31, so up to 30.6, and need 16: not refuted.
    assert cannot_share([Footprint(40, 15, 6.5)] * 2, BASE)
    assert not cannot_share([Footprint(30, 10, 6.5)] * 2, BASE)


def test_three_of_different_thickness_are_refuted_by_the_round():
    # 32 x 14: feet within sqrt(25.25^2 - 16^2) - 7 = 12.534 (+ 0.003), two of them 20 apart: 105.8 degrees. 24 x 8,
    # within sqrt(25.25^2 - 12^2) - 4 = 18.2, must stand 17 from each: a foot in line with it will do, not refuted.
    thick, thin = Footprint(32, 14, 6.5), Footprint(24, 8, 6.5)
    assert not cannot_share([thick, thick, thin], BASE)
    # 36 x 14: within sqrt(25.25^2 - 18^2) - 7 = 10.708; two of them 20 apart: 2 asin(10 / 10.708) = 138.1.
    # With 36 x 11, within 12.208, 18.5 apart: acos((114.7 + 149.0 - 342.3) / 261.4) = 107.5. 138.1 + 215 = 353.
    # With 36 x 12, within 11.708, 19 apart: acos((114.7 + 137.1 - 361) / 250.7) = 115.8. 138.1 + 231.6 = 370.
    wide = Footprint(36, 14, 6.5)
    assert cannot_share([wide, wide, Footprint(36, 12, 6.5)], BASE)


def test_what_stands_is_never_refuted():
    """Random layouts that the verifier accepts, tight ones by pulling waxes together."""
    chance, stood = random.Random("stands"), 0
    for _ in range(4000):
        base = Base(chance.choice((50.8, 63.5, 76.2)), 24, chance.choice((0.5, 3, 6)), 7, 1)
        waxes = [Footprint(chance.uniform(5, 25), chance.uniform(3, 12), 6.5) for _ in range(chance.choice((2, 3, 4)))]
        places = []
        for i in range(len(waxes)):
            at, far = math.tau * (i + chance.uniform(-0.1, 0.1)) / len(waxes), chance.uniform(6, 19)
            turn = math.degrees(at) + chance.choice((0, 90)) + chance.uniform(-15, 15)
            places.append(Place(far * math.cos(at), far * math.sin(at), turn))
        if not faults(waxes, places, base):
            stood += 1
            assert not cannot_share(waxes, base)
    assert stood > 200
