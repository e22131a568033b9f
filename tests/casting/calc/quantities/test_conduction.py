"""Conduction in a cylinder: beside scipy, a fine finite-volume run, and laws that hold for any body."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, sparse, special
from scipy.sparse.linalg import splu

from casting.calc.quantities.conduction import TERMS, bessel, long_cylinder, plane_wall, product

BIOTS = [0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 100.0]


def test_the_bessel_functions_are_those_of_scipy():
    x = np.linspace(0, TERMS * math.pi, 999)
    zeroth, first = bessel(x)
    assert np.allclose(zeroth, special.j0(x), rtol=0, atol=1e-13)
    assert np.allclose(first, special.j1(x), rtol=0, atol=1e-13)


@pytest.mark.parametrize("biot", BIOTS)
def test_every_root_and_weight_is_that_of_a_solver(biot):
    # computed: scipy's brentq on the textbook's equations z J1(z) = Bi J0(z) and z tan z = Bi
    for shape, condition, weight in (
        (long_cylinder(biot), lambda z: z * special.j1(z) - biot * special.j0(z),
         lambda z: 2 / z * special.j1(z) / (special.j0(z) ** 2 + special.j1(z) ** 2)),
        (plane_wall(biot), lambda z: z * math.sin(z) - biot * math.cos(z),
         lambda z: 4 * math.sin(z) / (2 * z + math.sin(2 * z))),
    ):  # fmt: skip
        for nth in range(TERMS):
            root = optimize.brentq(condition, nth * math.pi, (nth + 1) * math.pi, xtol=1e-13)
            assert math.sqrt(shape.rates[nth]) == pytest.approx(root, abs=1e-9)
            assert shape.weights[nth] == pytest.approx(weight(root), abs=1e-9)


STEP_FO, LAST_FO = 0.0025, 0.8
CELLS = 60


class Run:
    """A short cylinder in finite volumes, two steps of the trapezoid's kin (TR-BDF2) to first errors in time squared.

    Half width 1 and diffusivity 1, so that time is the Fourier number by the radius; one end may be closed.
    """

    def __init__(self, biot, height, closed=True):
        edges = np.linspace(0, 1, CELLS + 1)
        ring, dr, dz = np.pi * np.diff(edges**2), 1 / CELLS, height / CELLS
        side = 2 * np.pi * edges
        self.volume = np.outer(ring * dz, np.ones(CELLS)).ravel()
        at = np.arange(CELLS * CELLS).reshape(CELLS, CELLS)
        pairs = [(at[:-1].ravel(), at[1:].ravel(), np.repeat(side[1:-1] * dz / dr, CELLS)),
                 (at[:, :-1].ravel(), at[:, 1:].ravel(), np.repeat(ring / dz, CELLS - 1))]  # fmt: skip
        loss = np.zeros(CELLS * CELLS)
        loss[at[-1]] += side[-1] * dz / (1 / biot + dr / 2)
        for end in [at[:, -1]] + ([] if closed else [at[:, 0]]):
            loss[end] += ring / (1 / biot + dz / 2)
        flow = sparse.diags(-loss).tolil()
        for one, other, conductance in pairs:
            flow += sparse.coo_matrix((conductance, (one, other)), shape=flow.shape)
            flow += sparse.coo_matrix((conductance, (other, one)), shape=flow.shape)
            for cell in (one, other):
                flow -= sparse.diags(np.bincount(cell, conductance, CELLS * CELLS))
        self.loss, self.flow = loss / self.volume, sparse.diags(1 / self.volume) @ flow

    def __call__(self, kiln_at, start=1.0):
        """The whole body at each step, under a kiln whose temperature is a function of time."""
        gamma = 2 - math.sqrt(2)
        weight = math.sqrt(2) / 4
        solve = splu((sparse.identity(CELLS * CELLS) - STEP_FO * gamma / 2 * self.flow).tocsc()).solve
        body, found = np.full(CELLS * CELLS, start), []
        for nth in range(round(LAST_FO / STEP_FO)):
            now = nth * STEP_FO
            first = self.flow @ body + self.loss * kiln_at(now)
            part = now + gamma * STEP_FO
            half = solve(body + STEP_FO * gamma / 2 * (first + self.loss * kiln_at(part)))
            second = self.flow @ half + self.loss * kiln_at(part)
            third = self.loss * kiln_at(now + STEP_FO) * gamma / 2
            body = solve(body + STEP_FO * (weight * (first + second) + third))
            found.append(body.reshape(CELLS, CELLS))
        return found


def series(biot, height, closed=True, across=0.0, along=0.0):
    """The project's decay of such a cylinder."""
    half = height if closed else height / 2
    return product(long_cylinder(biot, across), 1, plane_wall(biot * half, along), 1 / half**2)


FROM_FO = round(0.05 / STEP_FO)


@lru_cache
def run(biot, height, closed):
    return Run(biot, height, closed)(lambda _fo: 0.0)


@pytest.mark.parametrize(("biot", "height"), [(1.0, 2.0), (4.6, 2.3), (20.0, 3.0)])
def test_a_step_is_within_half_a_percent_of_a_finite_volume_run(biot, height):
    # computed: the run above, 60 rings x 60 slices; the innermost cell stands for the axis at the closed end
    core, surface = series(biot, height), series(biot, height, across=1 - 0.5 / CELLS, along=0.5 + 0.5 / CELLS)
    for nth, body in enumerate(run(biot, height, closed=True)[FROM_FO - 1 :], FROM_FO):
        assert core.left(nth * STEP_FO) == pytest.approx(body[0, 0], abs=0.005)
        assert surface.left(nth * STEP_FO) == pytest.approx(body[-1, CELLS // 2], abs=0.005)
        assert body.max() - body[0, 0] < 1e-9  # no point is slower


def test_both_ends_open_are_half_the_height():
    for nth, body in enumerate(run(4.6, 2.3, closed=False)[FROM_FO - 1 :], FROM_FO):
        core = body[0, CELLS // 2]
        assert series(4.6, 2.3, closed=False).left(nth * STEP_FO) == pytest.approx(core, abs=0.005)


def test_a_ramp_and_the_hold_after_it_are_within_half_a_percent():
    # computed: a kiln that rises by 1 to Fo 0.4 and holds there; how far the core is behind
    ends = 0.4
    bodies = Run(4.6, 2.3)(lambda fo: min(fo / ends, 1), start=0.0)
    core = series(4.6, 2.3)
    for nth, body in enumerate(bodies[FROM_FO - 1 :], FROM_FO):
        fo = nth * STEP_FO
        behind = core.lag(min(fo, ends), max(0, fo - ends)) / ends
        assert min(fo / ends, 1) - body[0, 0] == pytest.approx(behind, abs=0.005)


ANY = st.floats(0.1, 50)
FO = st.floats(0.05, 5)


@given(ANY, st.floats(0.5, 8), FO, st.floats(1.01, 2))
def test_what_is_left_falls_with_time_and_grows_with_size(biot, height, fo, more):
    here = series(biot, height)
    left = here.left(fo)
    assert 0 <= left <= 1 + 5e-4
    assert here.left(fo * more) <= left + 1e-9
    # A body as much larger all over, in the same kiln: Biot grows with it, the Fourier number falls with its square.
    assert series(biot * more, height).left(fo / more**2) >= left - 5e-4


@given(ANY, st.floats(0.5, 8), FO, st.floats(1.01, 2))
def test_better_exchange_leaves_less(biot, height, fo, more):
    assert series(biot * more, height).left(fo) <= series(biot, height).left(fo) + 1e-4


@given(ANY, st.floats(0.5, 8), st.floats(0.01, 0.9))
def test_the_time_to_a_part_is_when_that_part_is_left(biot, height, part):
    core = series(biot, height)
    assert core.left(core.time_to(part)) == pytest.approx(part, rel=1e-6)
    assert core.time_to(1.0) == 0
