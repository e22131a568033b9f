"""Flasks on shelves: every place verified, one firing a kiln, as few kilns as possible."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.kiln.loading import (
    ShelfFlask,
    firing_for,
    firings_by_kiln,
    is_high_enough,
    load_kilns,
    most_flasks,
    shelf_faults,
)
from casting.calc.values.day_input import Firing, Kiln, Rules, Segment
from casting.calc.values.day_plan import KilnPlace
from casting.calc.values.enums import Kind
from tests.days import class_day

RULES = Rules(**class_day.RULES)
BIG = Kiln("big", 356, 356, 250, 250, 150, 25)
SMALL = Kiln("small", 305, 267, 190, 160, 130, 25)
SHORT = Firing("6h", 64, 77, frozenset({Kind.WAX}), ())
MIDDLE = Firing("8h", 90, 103, frozenset(Kind), ())
LONG = Firing("12h", 103, 205, frozenset(Kind), ())
FIRINGS = [SHORT, MIDDLE, LONG]


def flask(label: str, across_mm: float = 64, height_mm: float = 64, kind: Kind = Kind.WAX) -> ShelfFlask:
    return ShelfFlask(label, across_mm + 4, across_mm, height_mm, kind)


def test_the_firing_is_the_first_that_suits_every_flask():
    assert firing_for(FIRINGS, [flask("A")]) is SHORT
    assert firing_for(FIRINGS, [flask("A"), flask("B", kind=Kind.RESIN)]) is MIDDLE
    assert firing_for(FIRINGS, [flask("A"), flask("B", across_mm=90.001)]) is MIDDLE
    assert firing_for(FIRINGS, [flask("A"), flask("B", across_mm=90.1)]) is LONG
    assert firing_for(FIRINGS, [flask("A", height_mm=206)]) is None


def test_height_counts_the_room_under_and_over():
    # 250 - 25 - 25 = 200 mm.
    assert is_high_enough(BIG, RULES, 200) and not is_high_enough(BIG, RULES, 200.01)


def test_a_flask_too_high_for_the_first_kiln_goes_into_the_other():
    # 190 - 50 = 140 mm in the small kiln.
    found = load_kilns([SMALL, BIG], FIRINGS, RULES, [flask("A", height_mm=150)])
    assert found and found["A"].kiln == "big"
    assert load_kilns([SMALL], FIRINGS, RULES, [flask("A", height_mm=150)]) is None


def test_no_flask_needs_no_kiln():
    assert load_kilns([BIG], FIRINGS, RULES, []) == {}
    assert load_kilns([], FIRINGS, RULES, [flask("A")]) is None


def test_a_flask_that_suits_no_firing_finds_no_kiln():
    assert load_kilns([BIG], [SHORT], RULES, [flask("A", kind=Kind.RESIN)]) is None


def test_one_kiln_is_filled_before_a_second_is_lit():
    found = load_kilns([BIG, SMALL], FIRINGS, RULES, [flask(f"F{i}") for i in range(9)])
    assert found and {place.kiln for place in found.values()} == {"big"}


def test_kinds_that_share_no_firing_are_burnt_out_apart():
    wax_only, resin_only = SHORT, replace(MIDDLE, kinds=frozenset({Kind.RESIN}))
    found = load_kilns([BIG, SMALL], [wax_only, resin_only], RULES, [flask("A"), flask("B", kind=Kind.RESIN)])
    assert found and found["A"].kiln != found["B"].kiln


def test_a_flask_a_hundredth_from_where_it_may_stand_is_refused():
    # Outside 68: 25 + 34 = 59 mm from the sides; two stand 68 + 12 = 80 mm apart.
    pair = [flask("A"), flask("B")]
    holds = [KilnPlace("big", 59, 59), KilnPlace("big", 139, 59)]
    assert shelf_faults(BIG, RULES, pair, holds) == ()
    for short in (
        [holds[0], KilnPlace("big", 138.99, 59)],
        [KilnPlace("big", 58.99, 59), holds[1]],
        [KilnPlace("big", 59, 58.99), holds[1]],
        [holds[0], KilnPlace("big", 356 - 58.99, 59)],
        [holds[0], KilnPlace("big", 139, 356 - 58.99)],
    ):
        assert len(shelf_faults(BIG, RULES, pair, short)) == 1
    assert len(shelf_faults(BIG, RULES, [flask("A", height_mm=200.01)], holds[:1])) == 1


def test_room_in_one_row_is_counted_by_hand():
    # Depth 2 x 25 + 68 = 118 leaves one row. Pitch 80: 358 wide leaves 240 between the outermost
    # middles, 240 / 80 + 1 = 4; a tenth less, 3 (the bound gives 0.002 mm a length away).
    row = Kiln("row", 358, 118, 250, 250, 150, 25)
    assert most_flasks([row], RULES, 68) == 4
    assert most_flasks([replace(row, width_mm=357.9)], RULES, 68) == 3
    assert most_flasks([replace(row, depth_mm=117.9)], RULES, 68) == 0
    found = load_kilns([row], FIRINGS, RULES, [flask(f"F{i}") for i in range(4)])
    assert found and len(found) == 4


def test_a_kiln_with_room_for_one_row_and_a_half_staggers_it():
    # Middles 60 mm apart across: neighbours at least sqrt(80^2 - 60^2) = 52.915 mm apart along.
    # 52.92 x 3 = 158.76 for four.
    along = 3 * math.sqrt(80**2 - 60**2)
    kiln = Kiln("k", 118 + along + 0.02, 118 + 60, 250, 250, 150, 25)
    four = [flask(f"F{i}") for i in range(4)]
    assert most_flasks([kiln], RULES, 68) == 4
    assert load_kilns([kiln], FIRINGS, RULES, four) is not None
    assert load_kilns([replace(kiln, width_mm=kiln.width_mm - 0.1)], FIRINGS, RULES, four) is None


FLASKS = st.lists(
    st.tuples(
        st.sampled_from([(50.8, 63.5), (63.5, 63.5), (63.5, 76.2), (76.2, 101.6), (101.6, 101.6)]),
        st.sampled_from(Kind),
    ),
    max_size=12,
)


@given(FLASKS, st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_what_is_filled_holds_and_does_not_depend_on_the_order(rows, chance):
    flasks = [flask(f"F{i:02}", *size, kind) for i, (size, kind) in enumerate(rows)]
    found = load_kilns([BIG, SMALL], FIRINGS, RULES, flasks)
    mixed = chance.sample(flasks, len(flasks))
    assert load_kilns([BIG, SMALL], FIRINGS, RULES, mixed) == found
    if found is None:
        return
    assert sorted(found) == sorted(one.label for one in flasks)
    for kiln in (BIG, SMALL):
        load = [one for one in flasks if found[one.label].kiln == kiln.key]
        assert shelf_faults(kiln, RULES, load, [found[one.label] for one in load]) == ()
        assert firing_for(FIRINGS, load) is not None
        if load:
            assert len(load) <= most_flasks([kiln], RULES, min(one.outside_mm for one in load))


def test_a_flask_that_has_to_stand_in_one_kiln_stands_there():
    there = replace(flask("A"), kiln="small")
    found = load_kilns([BIG, SMALL], FIRINGS, RULES, [there, flask("B")])
    # One kiln is enough for both, and it is the one that A needs.
    assert found and {place.kiln for place in found.values()} == {"small"}
    both = load_kilns([BIG, SMALL], FIRINGS, RULES, [there, replace(flask("B"), kiln="big")])
    assert both and (both["A"].kiln, both["B"].kiln) == ("small", "big")
    assert load_kilns([BIG], FIRINGS, RULES, [there]) is None


HOT = Firing("hot", 90, 103, frozenset({Kind.WAX}), (Segment(167, 732, 180),))
LOW = Firing("low", 90, 103, frozenset({Kind.STONES}), (Segment(167, 413, 600),))


def test_a_kiln_runs_the_firings_whose_top_it_reaches():
    weak = replace(BIG, max_c=731)
    assert firings_by_kiln([weak, SMALL], [LOW, HOT]) == {"big": (LOW,), "small": (LOW, HOT)}
    assert firings_by_kiln([replace(weak, max_c=732), SMALL], [LOW, HOT])["big"] == (LOW, HOT)
    # where no kiln reaches it, it is run all the same, and a caution tells
    assert firings_by_kiln([weak], [LOW, HOT]) == {"big": (LOW, HOT)}
    assert firings_by_kiln([], [HOT]) == {}


def test_flasks_go_into_the_kiln_that_gets_hot_enough():
    weak = replace(BIG, max_c=700)
    found = load_kilns([weak, SMALL], [LOW, HOT], RULES, [flask("A"), flask("B", kind=Kind.STONES)])
    assert found and found["A"].kiln == "small" and found["B"].kiln == "big"
    alone = load_kilns([weak], [HOT], RULES, [flask("A")])
    assert alone and alone["A"].kiln == "big"
