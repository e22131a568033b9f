"""Classes whose least number of flasks is known by construction, and the day of a proof that was false."""

import csv
import math

import pytest

from casting.calc.geometry.infeasibility import cannot_share
from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.grouping.evaluator import FlaskEvaluator
from casting.calc.grouping.group import group
from tests.reference.planted import PACKING, case_71, packed_days, planted_days

PLANTED = {name: (day, least) for name, day, least in planted_days()}
PACKED = {name: (day, least) for name, day, least in packed_days()}
SMALL = [name for name, (day, _) in PACKED.items() if len(day.waxes) <= 30]


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_class_is_brought_to_its_least_and_proved(name: str):
    day, least = PLANTED[name]
    plan = group(day, 10)
    assert not plan.left_out
    assert (len(plan.groups), plan.proof.flasks_at_least) == (least, least)
    assert plan.proof.flasks_proved


@pytest.mark.parametrize("name", SMALL)
def test_the_bound_of_a_day_of_full_melts_is_its_least(name: str):
    day, least = PACKED[name]
    plan = group(day, 1)
    assert not plan.left_out
    assert plan.proof.flasks_at_least == least
    assert least <= len(plan.groups) <= least + 2
    assert plan.proof.flasks_proved is (len(plan.groups) == least)


def test_a_full_melt_of_the_packings_is_allowed_and_a_gram_more_is_not():
    # Items of 1 g a unit, a bin of 100: 32 + 24 + 44 = 100 stands in one melt of 110 with a button of 10.
    day, _ = PACKED["vec2_triplet_30_0 x"]
    evaluator = FlaskEvaluator(day)
    by_g = {round(item.metal_g): key for key, item in evaluator.rules.items.items()}
    assert evaluator.rules.allows(frozenset(by_g[g] for g in (32, 24, 44)), "wide")
    assert not evaluator.rules.allows(frozenset(by_g[g] for g in (32, 25, 44)), "wide")


def test_the_day_of_the_false_proof_is_done_in_three():
    # Silver: w000 is thin and w003 heavy, two steps apart, so two flasks; bronze one. A cut "a bigger flask is
    # never worse" said four: bronze, 37.1 g, melts in M with 3.7 ml x 8.8 = 32.6 g of button, 69.7 g of 90, but not
    # in L with 6.9 ml, 60.7 g: 97.8 g.
    day = case_71()
    evaluator, plan = FlaskEvaluator(day), group(day, 100)
    bronze = frozenset(wax.key for wax in day.waxes if wax.alloy == "bronze")
    assert evaluator.rules.charge_g(bronze, "M") == pytest.approx(69.66, abs=0.01)
    assert evaluator.rules.allows(bronze, "M")
    assert evaluator.rules.charge_g(bronze, "L") == pytest.approx(97.82, abs=0.01)
    assert not evaluator.rules.allows(bronze, "L")
    assert not plan.left_out
    assert sorted(one.size for one in plan.groups) == ["L", "M", "S"]
    assert plan.proof.flasks_at_least == 3


with (PACKING / "circles_radii_i_in_circle.csv").open(encoding="utf-8") as file:
    RADII = {int(row["N"]): float(row["best_known_R"]) for row in csv.DictReader(file)}


@pytest.mark.parametrize("count", RADII)
@pytest.mark.parametrize("turn_deg", [5, 45])
def test_rectangles_in_circles_that_are_known_to_fit_are_not_refuted(count: int, turn_deg: float):
    turn = math.radians(turn_deg)
    boxes = [Footprint(2 * i * math.cos(turn), 2 * i * math.sin(turn), 6.5) for i in range(1, count + 1)]
    assert not cannot_share(boxes, Base(2 * (RADII[count] + 6.5), 2 * RADII[count], 0, 0, 0))
