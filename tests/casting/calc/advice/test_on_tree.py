"""A tree changed by hand: who stays round the trunk, how the tiers are stacked, what keeps a wax from a spot."""

from dataclasses import replace

import pytest

from casting.calc.advice.carrying import Board, laid_out, on_trunk
from casting.calc.advice.on_tree import at_clock, hang, in_tier, stacked, tree_of, with_one_more, without
from casting.calc.advice.putting_down import put_down
from casting.calc.grouping.breaches import standing
from casting.calc.values.day_plan import Place, TreePlace
from casting.calc.values.placed import PlacedFlask, Rule
from tests.days.day_input import TALL, a_day, a_wax

TREE = replace(TALL, key="tree", mount="tree", trunk_mm=8.0, trunk_gap_mm=6.0, waxes_max=24)
"""76 x 102 mm: the trunk begins at 10 mm, so the lowest tier stands at 16 mm."""
FOOT_MM = 8 / 2 + 6 + 6 / 2
"""How far out a wax 6 mm deep stands whose long side is square to the trunk, 6 mm off it."""


def rules_of(*waxes):
    return Board(a_day(waxes, flask_sizes=(TREE,)), ()).rules


def ring(key, **more):
    return a_wax(key, **({"width_mm": 20, "depth_mm": 6, "height_mm": 20} | more))


def at(x, y, turn=0.0, tier=1, z=16.0):
    return TreePlace(x, y, turn, z, tier)


NORTH, SOUTH = at(0, 13.01), at(0, -13.01)


def test_the_tiers_are_stacked_as_low_as_they_can_be_with_the_heaviest_lowest():
    rules = rules_of(ring("w1"), ring("w2", wax_g=4), ring("w3", height_mm=12))
    found = stacked(rules, {"w1": NORTH, "w2": replace(NORTH, tier=4), "w3": replace(SOUTH, tier=4)}, "tree")
    # 16 mm, and 6 mm over the 20 mm of the taller of the two
    assert {key: (one.tier, one.z_mm) for key, one in found.items()} == {
        "w1": (2, 42.0),
        "w2": (1, 16.0),
        "w3": (1, 16.0),
    }
    assert all((found[key].x_mm, found[key].turn_deg) == (0, 0) for key in found)
    assert standing(rules, found, "tree") == ()


def test_what_is_left_of_a_tree_stays_round_the_trunk_and_an_emptied_tier_goes():
    rules = rules_of(ring("w1"), ring("w2"), ring("w3"))
    left = {"w2": replace(SOUTH, tier=2, z_mm=42.0), "w3": replace(NORTH, tier=2, z_mm=42.0)}
    assert without(rules, left, "tree") == {"w2": SOUTH, "w3": NORTH}
    # The same by the board, from which the wax is lifted.
    flask = laid_out(PlacedFlask("A", "tree", ()), {"w1": NORTH} | left)
    (after,) = Board(a_day([ring(key) for key in ("w1", "w2", "w3")], flask_sizes=(TREE,)), [flask]).lift("w1")
    assert after.spots == {"w2": SOUTH, "w3": NORTH}


def test_a_wax_hangs_on_the_spot_of_a_tier_or_is_refused_with_the_figure():
    rules = rules_of(ring("w1"), ring("w2"), ring("w3", height_mm=30))
    hung = hang(rules, {"w1": NORTH}, "w2", "tree", 1, Place(0, -13.01, 0))
    assert hung.breaches == () and hung.places == {"w1": NORTH, "w2": SOUTH}
    narrow = rules_of(ring("w1", width_mm=12), ring("w2", width_mm=12))
    gap = hang(narrow, {"w1": NORTH}, "w2", "tree", 1, Place(15, 13.01, 0)).breaches[0]
    # 12 mm wide each, 15 mm from foot to foot
    assert (gap.rule, gap.has, gap.limit) == (Rule.GAP, pytest.approx(3.0), 6.0)
    near = hang(rules, {"w1": NORTH}, "w2", "tree", 1, Place(0, -10, 0)).breaches
    # 10 mm, less half of its 6 mm and half of the trunk's 8
    assert [(one.rule, one.has, one.limit) for one in near] == [(Rule.TRUNK_NEAR, pytest.approx(3.0), 6.0)]


def test_a_tier_too_many_is_refused_with_how_high_the_tiers_would_reach():
    rules = rules_of(ring("w1", height_mm=20), ring("w2", height_mm=20), ring("w3", height_mm=12))
    others = {"w1": NORTH, "w2": replace(NORTH, tier=2, z_mm=42.0)}
    (stack,) = hang(rules, others, "w3", "tree", 3, Place(0, 13.01, 0)).breaches
    limit_mm = rules.bases["tree"].trunk.to_mm
    # 16 + 20 + 6 + 20 + 6 + 12 mm
    assert (stack.rule, stack.has, stack.limit) == (Rule.STACK, pytest.approx(80.0), limit_mm) and limit_mm < 80
    assert hang(rules, others, "w3", "tree", 2, Place(0, -13.01, 0)).breaches == ()


def test_an_hour_is_read_from_the_notch_clockwise_the_long_side_facing_the_trunk():
    rules = rules_of(ring("w1"))
    noon, side = at_clock(rules, "w1", "tree", 12)
    assert (noon.x_mm, noon.y_mm, noon.turn_deg) == (0, pytest.approx(FOOT_MM, abs=0.01), 0)
    assert side.turn_deg == 90 and side.y_mm > noon.y_mm
    three = at_clock(rules, "w1", "tree", 3)[0]
    assert (three.x_mm, three.y_mm, three.turn_deg) == (pytest.approx(FOOT_MM, abs=0.01), 0, 90)


def test_a_tier_takes_a_wax_where_it_has_room_and_the_others_stay():
    rules = rules_of(
        ring("w1", wax_g=1), ring("w2", wax_g=1), *(ring(f"x{nth}", width_mm=8, wax_g=0.3) for nth in range(4))
    )
    hung = in_tier(rules, {"w1": NORTH}, "w2", "tree", 1)
    assert hung.breaches == () and hung.places["w1"] == NORTH and standing(rules, hung.places, "tree") == ()
    full = {f"x{nth}": one for nth, one in enumerate((NORTH, SOUTH, at(13.01, 0, 90), at(-13.01, 0, 90)))}
    assert in_tier(rules, full, "w1", "tree", 1) is None
    # It hangs in a tier of its own, the heaviest and so the lowest.
    tiers = {key: one.tier for key, one in with_one_more(rules, full, "w1", "tree").items()}
    assert tiers == {"w1": 1} | dict.fromkeys(full, 2)


def test_a_wax_put_down_on_a_tree_moves_nobody_where_a_tier_has_room():
    waxes = [ring(key) for key in ("w1", "w2", "w3")]
    one = Board(a_day(waxes, flask_sizes=(TREE,)), [laid_out(PlacedFlask("A", "tree", ()), {"w1": NORTH, "w2": SOUTH})])
    landing = put_down(one, "w3", "A")
    assert landing.moved == () and standing(one.rules, landing.flasks[0].spots, "tree") == ()
    assert next(answer for answer in one.answers("w3") if answer.label == "A").spot == landing.flasks[0].spots["w3"]


def test_the_program_s_own_tree_and_its_spots():
    rules = rules_of(ring("w1"), ring("w2"))
    spots = tree_of(rules, frozenset({"w1", "w2"}), "tree")
    assert on_trunk(spots) == spots and on_trunk({"w1": Place(0, 0, 0)}) == {}
