"""Layouts against proved tables and against an independent geometry library.

Tables: equal circles in a circle (Graham 1968, Pirl 1969, Melissen 1994, Fodor 2000 and 2003) and
equal circles in a square (Birgin and Gentil 2009, Table 2), in `packing/` with each row's source.
"""

from __future__ import annotations

import csv
import math
import random
from pathlib import Path

import pytest
import shapely

from casting.calc.geometry.infeasibility import EQUAL_CIRCLES, cannot_share
from casting.calc.geometry.shapes import Base, Footprint, apart, corners
from casting.calc.geometry.verify import faults
from casting.calc.grouping.group import group
from casting.calc.kiln.loading import ShelfFlask, load_kilns, most_flasks, shelf_faults
from casting.calc.layout.search import find_layout
from casting.calc.values.day_input import Firing, Kiln, Rules
from casting.calc.values.day_plan import KilnPlace, Place
from casting.calc.values.enums import Kind
from tests.bench.known_layouts import a_full_day, a_known_layout, base_of, boxed, lacks, scattered, verdicts
from tests.days import class_day

TABLES = Path(__file__).parent / "packing"
DOT = Footprint(0.001, 0.001, 6.5)
"""A wax next to a point: dots 10 mm apart are the middles of circles of radius 5."""


def table(name: str, column: str) -> dict[int, float]:
    with (TABLES / name).open(encoding="utf-8") as file:
        return {int(row["N"]): float(row[column]) for row in csv.DictReader(file)}


IN_CIRCLE = table("equal_circles_in_circle.csv", "R_over_r")


def dots_base(count: int, share: float) -> Base:
    """A base whose usable circle, grown by 5 mm, is the tabled one times share; no paths."""
    usable_mm = 5 * IN_CIRCLE[count] * share - 5
    return Base(2 * (usable_mm + 6.5), 200, 10, 0, 0)


def best_dots(count: int, radius_mm: float) -> list[Place]:
    """The proved best for 2 to 9: on a ring, from 7 on with one in the middle."""
    ring = count - 1 if count > 6 else count
    ats = [math.tau * i / ring for i in range(ring)]
    places = [Place(round(radius_mm * math.cos(a), 3), round(radius_mm * math.sin(a), 3), 0) for a in ats]
    return places + [Place(0, 0, 0)] * (count - ring)


@pytest.mark.parametrize("count", range(2, 14))
def test_fewer_than_the_proved_circle_is_refuted_and_the_proved_one_is_not(count: int):
    assert cannot_share([DOT] * count, dots_base(count, 0.999))
    assert not cannot_share([DOT] * count, dots_base(count, 1.0))
    assert EQUAL_CIRCLES[count - 1] == pytest.approx(IN_CIRCLE[count], abs=1e-12)
    assert EQUAL_CIRCLES[count - 1] <= IN_CIRCLE[count]


@pytest.mark.parametrize("count", range(2, 10))
def test_the_best_dots_are_accepted_in_their_circle_and_refused_a_thousandth_below(count: int):
    for share, holds in ((1.0005, True), (0.999, False)):
        base = dots_base(count, share)
        places = best_dots(count, base.diameter_mm / 2 - 6.5 - 0.001)
        assert (not faults([DOT] * count, places, base)) is holds


@pytest.mark.parametrize("count", range(2, 9))
def test_the_search_finds_dots_a_little_above_the_proved_circle(count: int):
    assert find_layout([DOT] * count, dots_base(count, 1.03)) is not None


def test_distances_agree_with_shapely():
    chance = random.Random("distances")
    for _ in range(1000):
        (one, other), (at, there) = scattered(chance, 2)
        first, second = boxed(one, at), boxed(other, there)
        assert shapely.Polygon(corners(one, at)).hausdorff_distance(first) < 1e-9
        if not first.intersects(second):
            assert apart(one, at, other, there) == pytest.approx(first.distance(second), abs=1e-9)


def test_the_verifier_says_what_shapely_says_of_random_layouts():
    accepted, refused, wrong = verdicts(200, 200)
    assert (accepted, refused) == (200, 200)
    assert wrong == []


@pytest.mark.parametrize("seed", range(10))
def test_a_flask_cut_up_is_put_together_again(seed: int):
    size, waxes, places = a_known_layout(seed)
    assert lacks(waxes, places, base_of(size)) <= 0
    assert not faults(waxes, places, base_of(size))
    assert not cannot_share(waxes, base_of(size))
    plan = group(a_full_day(seed), 100)
    assert (len(plan.groups), len(plan.left_out)) == (1, 0)


def test_found_layouts_hold_by_shapely():
    chance, base, found = random.Random("found"), Base(76.2, 27, 6, 7, 3), 0
    for _ in range(60):
        waxes, _ = scattered(chance, chance.choice((2, 3, 4, 5)))
        places = find_layout(waxes, base)
        if places:
            found += 1
            assert lacks(waxes, list(places), base) <= 0.001
    assert found > 30


SQUARES = table("equal_circles_in_square.csv", "side_over_r")
RULES = Rules(**{**class_day.RULES, "kiln_gap_mm": 12.0})


def kiln_of(count: int, share: float) -> Kiln:
    """A kiln whose shelf just takes this number of flasks of 88 mm: circles of 50 with half the gap of 12."""
    side_mm = 50 * SQUARES[count] * share - 12 + 2 * 25
    return Kiln("k", side_mm, side_mm, 250, 200, 150, 25)


def flasks_of(count: int) -> list[ShelfFlask]:
    return [ShelfFlask(f"F{i}", 88, 84, 100, Kind.WAX) for i in range(count)]


FIRINGS = [Firing("long", 103, 205, frozenset(Kind), ())]


@pytest.mark.parametrize("count", range(2, 21))
def test_the_bound_of_a_kiln_is_never_below_the_proved_table(count: int):
    assert most_flasks([kiln_of(count, 1.0)], RULES, 88) >= count


@pytest.mark.parametrize("count", range(2, 21))
def test_no_load_is_accepted_a_thousandth_below_the_proved_square(count: int):
    assert load_kilns([kiln_of(count, 0.999)], FIRINGS, RULES, flasks_of(count)) is None


@pytest.mark.parametrize("count", range(2, 21))
def test_a_load_is_found_a_little_above_the_proved_square(count: int):
    assert load_kilns([kiln_of(count, 1.04)], FIRINGS, RULES, flasks_of(count)) is not None


@pytest.mark.parametrize("count", [4, 9, 16])
def test_a_square_of_flasks_that_fits_exactly_is_found(count: int):
    assert load_kilns([kiln_of(count, 1.0)], FIRINGS, RULES, flasks_of(count)) is not None


# Side by side in a square of side 1 between the outermost middles: two on the diagonal, four in the
# corners, a fifth in the middle, rows of three and of four.
BEST = {
    2: [(0, 0), (1, 1)],
    4: [(0, 0), (1, 0), (0, 1), (1, 1)],
    5: [(0, 0), (1, 0), (0, 1), (1, 1), (0.5, 0.5)],
    9: [(x / 2, y / 2) for x in range(3) for y in range(3)],
    16: [(x / 3, y / 3) for x in range(4) for y in range(4)],
}


@pytest.mark.parametrize("count", BEST)
def test_the_best_load_is_accepted_in_its_square_and_refused_a_thousandth_below(count: int):
    for share, holds in ((1.0001, True), (0.999, False)):
        kiln = kiln_of(count, share)
        first_mm, span_mm = 25 + 44, kiln.width_mm - 2 * (25 + 44)
        ats = [(round(first_mm + x * span_mm, 3), round(first_mm + y * span_mm, 3)) for x, y in BEST[count]]
        places = [KilnPlace("k", *at) for at in ats]
        assert (not shelf_faults(kiln, RULES, flasks_of(count), places)) is holds
