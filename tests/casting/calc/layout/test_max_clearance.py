"""Many layouts maximise_clearance at once, held against the gaps and the verifier, which are written apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.max_clearance import maximise_clearance
from casting.calc.layout.search import printed
from casting.calc.layout.tidy import margin_mm

SMALL = Base(diameter_mm=63.5, hub_mm=24, between_mm=6, reach_mm=7, clear_mm=3)
LARGE = Base(diameter_mm=88.9, hub_mm=32, between_mm=5, reach_mm=9, clear_mm=4)

tenths = st.integers(30, 300).map(lambda n: n / 10)
waxes = st.lists(st.builds(Footprint, tenths, tenths, st.sampled_from([6.5, 10.0])), min_size=2, max_size=6)


@given(waxes, st.sampled_from([SMALL, LARGE]), st.integers(0, 2**32))
@settings(max_examples=60, deadline=None)
def test_the_margin_of_a_layout_is_that_of_its_gaps_and_walls(footprints, base, seed):
    spots = np.random.default_rng(seed).uniform(-1, 1, (20, len(footprints), 3)) * (22, 22, 4)
    spots[0, :, 2] = math.pi / 2  # sides that lie along one another
    (found,) = maximise_clearance([(footprints, base)], [spots], [1.0])
    for margin, layout in zip(found.margin_mm, found.layouts, strict=True):
        if margin > -base.between_mm:  # apart, and paths and reach hold
            places = printed(layout)
            assert margin == pytest.approx(margin_mm(footprints, places, base), abs=1e-6)
            assert (margin >= -0.0005) <= (faults(footprints, places, base) == ())


@given(waxes, st.sampled_from([SMALL, LARGE]), st.integers(0, 2**32))
@settings(max_examples=15, deadline=None)
def test_layouts_that_are_spread_hold_as_printed(footprints, base, seed):
    spots = np.random.default_rng(seed).uniform(-1, 1, (8, len(footprints), 3)) * (18, 18, 4)
    (found,) = maximise_clearance([(footprints, base)], [spots], np.geomspace(20, 0.1, 40))
    for margin, layout in zip(found.margin_mm, found.layouts, strict=True):
        assert margin < 0 or faults(footprints, printed(layout), base) == ()
