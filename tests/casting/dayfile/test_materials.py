"""Metals and powder: what follows from their parts, and what the shelf fills in."""

from __future__ import annotations

import pytest

from casting.dayfile import read
from tests.days.example_file import GONE, bare, changed


def test_a_specific_gravity_left_out_comes_from_the_parts() -> None:
    # by hand: 100 / (92.5 / 10.50 + 7.5 / 8.96) = 100 / (8.8095 + 0.8371) = 10.366
    alloy = read(changed(("alloys[0].specific_gravity", GONE))).day.alloys["sterling"]
    assert alloy.specific_gravity == pytest.approx(10.366, abs=0.002)


def test_a_part_that_is_not_recorded_is_not_zero() -> None:
    parts = {"Cu": 70, "Zn": None}
    alloy = read(changed(("alloys[0].composition_pct", parts))).day.alloys["sterling"]
    assert alloy.composition_pct == parts


@pytest.mark.parametrize("silver_pct", [92.0, 93.0])
def test_parts_may_add_up_to_half_a_percent_off(silver_pct: float) -> None:
    # 92 + 7.5 = 99.5 and 93 + 7.5 = 100.5, the ends that are allowed
    read(changed(("alloys[0].composition_pct.Ag", silver_pct)))


def test_a_price_left_out_is_the_shelf_s() -> None:
    day = read(changed(("alloys[0].price_per_g", GONE), ("investment.price_per_kg", GONE))).day
    shelf = read(bare()).day
    assert day.alloys["sterling"].price_per_g == shelf.alloys["sterling"].price_per_g
    assert day.investment.price_per_kg == shelf.investment.price_per_kg
    assert day.missing_prices == ()
