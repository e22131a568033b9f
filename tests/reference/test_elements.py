"""The elements as the project keeps them, against two general libraries."""

from __future__ import annotations

import periodictable
import pytest
from mendeleev.fetch import fetch_table

from tests.reference.rows import Row, checks
from tests.reference.values import densities, shelf

# The whole of its tables at once: an element asked for by name takes half a second.
ELEMENTS = fetch_table("elements").set_index("symbol")
TURNING = fetch_table("phasetransitions").groupby("atomic_number")[["melting_point", "boiling_point"]].max()
"""Kelvin; of two forms listed apart (tin), the hotter one's."""


def mendeleev_density(symbol: str) -> float:
    return ELEMENTS.density[symbol]


def turns_at_c(symbol: str, point: str) -> float:
    return TURNING.loc[ELEMENTS.atomic_number[symbol], point] - 273.15


@checks("elements", "EL-RHO")
def test_density_kept_is_density_known(row: Row):
    # computed: mendeleev 1.3.0 and periodictable 2.1.0
    symbol = row.inputs["symbol"]
    row.check(densities()[symbol])
    row.check(mendeleev_density(symbol))
    row.check(periodictable.elements.symbol(symbol).density)


@checks("elements", "EL-MP")
def test_melting_point_known(row: Row):
    # computed: mendeleev 1.3.0 (kelvin less 273.15)
    row.check(turns_at_c(row.inputs["symbol"], "melting_point"))


@checks("elements", "EL-BP")
def test_boiling_point_known(row: Row):
    # computed: mendeleev 1.3.0 (kelvin less 273.15)
    row.check(turns_at_c(row.inputs["symbol"], "boiling_point"))


@pytest.mark.parametrize("symbol", sorted(densities()))
def test_every_density_kept_is_near_both_libraries(symbol: str):
    # computed: mendeleev 1.3.0 and periodictable 2.1.0, which differ by up to 3 % in rare metals (ruthenium)
    kept = densities()[symbol]
    assert kept == pytest.approx(mendeleev_density(symbol), rel=0.0025)
    assert kept == pytest.approx(periodictable.elements.symbol(symbol).density, rel=0.03)


def test_every_part_of_a_metal_of_the_shelf_has_a_density():
    parts = {part for alloy in shelf()["alloys"] for part in alloy["composition_pct"]}
    assert parts <= set(densities())
