"""Firings: the hours in a name are holds only; the wall clock adds the ramps and the soak."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from casting.calc.schedule.firing import fire, ramp_min, soak_of, whole_minutes, written_min
from casting.calc.values.day_input import Firing, Kiln, Segment
from casting.calc.values.enums import Kind
from casting.calc.values.errors import Refused
from casting.dayfile.rules_file import rulebook
from tests.casting.calc.cautions.cases import firing_day, levels_by_rule
from tests.days.class_day import FIRINGS, INVESTMENT, segments
from tests.days.day_file import a_day_file, planned, wax_row
from tests.reference.rows import Row, checks
from tests.reference.values import MM_PER_IN, flask, shelf


def segments_of(row: Row) -> list[Segment]:
    rate = row.inputs.get("ramp_C_per_h", 1)
    return [Segment(rate, one["hold_C"], one["hold_h"] * 60) for one in row.inputs["segments"]]


def wall_clock_of(row: Row) -> float:
    """The firing as written, the fall to the flask temperature and the soak there [min]."""
    given = row.inputs
    segments = segments_of(row)
    fall = abs(segments[-1].to_c - given["soak_C"]) / given["cool_C_per_h"] * 60
    return written_min(segments, given["start_C"]) + fall + given["soak_h"] * 60


@checks("burnout", "BO-CYC", quantity="sum_of_holds")
def test_the_hours_of_a_name_are_holds_only(row: Row):
    # common practice; BO-CYC-004 from memory, not seen (its soak)
    # a ramp at full speed takes whole minutes: one a ramp here
    instant = 10.0**6
    segments = tuple(Segment(instant, one.to_c, one.hold_min) for one in segments_of(row))
    fired = fire(Firing("f", 250, 300, frozenset(Kind), segments), Kiln("k", 356, 356, 250, instant, instant, 25))
    row.check((fired[-1].ends_at - len(fired)) / 60)


@checks("burnout", "BO-CYC-010")
def test_a_cycle_told_with_its_ramps(row: Row):
    # common practice; ramps are told in hours, so the rates are worked from them
    *told, last = row.inputs["segments"]
    levels = [22, *(one["hold_C"] for one in told), last["hold_C"]]
    rates = [
        abs(to - start) / one["ramp_h"]
        for (start, to), one in zip(pairwise(levels), row.inputs["segments"], strict=True)
    ]
    segments = [Segment(rate, one["hold_C"], one["hold_h"] * 60) for rate, one in zip(rates[:-1], told, strict=True)]
    fall = abs(segments[-1].to_c - last["hold_C"]) / rates[-1] * 60
    row.check((written_min(segments, levels[0]) + fall) / 60 + last["hold_h"])


@checks("burnout", "BO-WALL")
def test_the_wall_clock_adds_ramps_and_soak(row: Row):
    # computed: arithmetic, holds plus ramps
    row.check(wall_clock_of(row) / 60)


@checks("burnout", "BO-START")
def test_the_latest_start_for_a_first_pour(row: Row):
    # computed: arithmetic, rounded down to the minute
    pour = datetime.fromisoformat(f"2027-01-02T{row.inputs['first_pour']}")
    start = pour - timedelta(minutes=wall_clock_of(row))
    assert row.unit == "the day before"
    assert (start.day, start.strftime("%H:%M")) == (1, row.value)


def kiln_run_min(row: Row) -> int:
    """The same as a plan's kiln runs it, each ramp rounded up to a whole minute [min]."""
    given = row.inputs
    kiln = Kiln("k", 356, 356, 250, given["ramp_C_per_h"], given["cool_C_per_h"], 25)
    fired = fire(Firing("f", 250, 300, frozenset(Kind), tuple(segments_of(row))), kiln, given["start_C"])
    fall = ramp_min(fired[-1].to_c, given["soak_C"], given["cool_C_per_h"])
    return fired[-1].ends_at + fall + whole_minutes(given["soak_h"] * 60)


def ramps_rounded_up(row: Row) -> int:
    """The minutes of all ramps, worked from the row alone, each up to the whole minute; integers only."""
    given = row.inputs
    levels = [given["start_C"], *(one["hold_C"] for one in given["segments"])]
    climbs = [-((start - to) * 60 // given["ramp_C_per_h"]) for start, to in pairwise(levels)]
    return sum(climbs) - ((given["soak_C"] - levels[-1]) * 60 // given["cool_C_per_h"])


@checks("burnout", "BO-WALL", "BO-START")
def test_a_kiln_runs_the_same_firing_with_ramps_up_to_whole_minutes(row: Row):
    # computed: arithmetic; to the minute, and never shorter than the row's own clock
    holds_min = sum(one["hold_h"] for one in row.inputs["segments"]) * 60 + row.inputs["soak_h"] * 60
    assert kiln_run_min(row) == holds_min + ramps_rounded_up(row)
    assert 0 <= kiln_run_min(row) - wall_clock_of(row) < len(row.inputs["segments"]) + 1


def planned_at(peak_c: float, resin: bool) -> set[str]:
    """The levels of what a plan says of a firing's top; "stop" if the day is not even read."""
    firing = {"segments": segments((149, 120), (peak_c, 240)), "kinds": ["wax", "resin"]}
    waxes = [wax_row("w1", section="heavy", pattern="print-resin" if resin else "carving-wax")]
    day = a_day_file(waxes, firings=[FIRINGS[2] | firing])
    try:
        cautions = planned(day)["cautions"]
    except Refused as refused:
        assert refused.place == "firings[0].segments[1].to_c"
        return {"stop"}
    return {one["level"].lower() for one in cautions if re.match("N-0[12]", one["id"])}


@checks("burnout", "BO-PEAK")
def test_the_top_of_a_firing_is_taken_warned_of_or_stopped(row: Row):
    # common practice: above 732 warn, above 750 stop, below 677 warn, below 500 stop
    for resin in {False, "resin" in row.subject}:
        assert planned_at(row.inputs["peak_C"], resin) == ({row.value} - {"ok"}), row.note


def test_a_powder_s_own_limit_lets_a_top_up_to_788_be_asked_about():
    # the note of the rows of BO-PEAK: unless the powder's record holds the maker's higher limit, and never above 788
    day = a_day_file([wax_row("w1")], firings=[FIRINGS[2] | {"segments": segments((149, 120), (788, 240))}])
    assert "N-01" in {one["id"] for one in planned(day | {"investment": INVESTMENT | {"max_c": 790}})["cautions"]}
    with pytest.raises(Refused):
        planned(day)
    day["firings"][0]["segments"][1]["to_c"] = 789
    with pytest.raises(Refused):
        planned(day | {"investment": INVESTMENT | {"max_c": 790}})


@checks("burnout", "BO-RULE-003")
def test_the_fastest_ramp_of_wide_flasks(row: Row):
    # common practice: drying ends in this ramp; raised and not raised in tests/casting/calc/cautions/test_firings.py
    row.check(rulebook().limit("ramp_wide_c_per_h"))
    assert rulebook().limit("ramp_wide_flask_mm") == pytest.approx(row.inputs["flask_D_min_in"] * MM_PER_IN, abs=0.5)
    from_c, to_c = (rulebook().limit(f"ramp_wide_{end}_c") for end in ("from", "to"))
    assert f"from {from_c:g} to {to_c:g} C" in row.subject


@checks("burnout", "BO-RULE-007")
def test_a_flask_that_fell_below_this_is_not_heated_again(row: Row):
    # common practice
    row.check(rulebook().limit("reheat_from_c"))


@checks("burnout", "BO-RULE-010")
def test_the_sign_that_burnout_is_done_is_said(row: Row):
    # common practice
    assert f"{row.value} investment" in rulebook().rules["white-plaster"].text


@checks("burnout", "BO-TEMP-006")
def test_no_flask_is_poured_where_cristobalite_turns(row: Row):
    # source: ceramics reference pages on silica inversions
    row.check(rulebook().limit("plaster_cracks_below_c"))
    assert row.value.endswith(f"..{rulebook().limit('plaster_cracks_below_c'):g}")


@checks("burnout", "BO-TEMP-013")
def test_no_firing_is_hotter_than_where_castings_come_out_dark(row: Row):
    # source: Stuller, investment casting checklist, part 4
    assert rulebook().limit("firing_hottest_c") <= float(row.value.partition("..")[0])


@checks("burnout", "BO-TEMP-014")
def test_the_shelf_s_firings_drain_their_wax_first(row: Row):
    # source: a kiln maker's lost-wax instructions (copy)
    for firing in shelf()["firings"]:
        row.check(firing["segments"][0]["to_c"])


@checks("burnout", "BO-RULE-004", "BO-RULE-005")
def test_soak_at_the_flask_temperature(row: Row):
    # common practice: the floor of a soak
    diameter_in = next(iter(row.inputs.values()))
    row.check(soak_of(flask(diameter_in, 3), 194, after_top=True, book=rulebook()).practice_min / 60)


@checks("burnout", "BO-TEMP-015")
def test_every_firing_of_the_shelf_tops_out_as_usual(row: Row):
    # source: a kiln maker's lost-wax instructions (copy); also the usual practice
    for firing in shelf()["firings"]:
        row.check(max(segment["to_c"] for segment in firing["segments"]))


def top_hold_h(diameter_mm: float, kind: str) -> float:
    """Hours at the top of the first firing of the shelf that suits such a flask."""
    firing = next(one for one in shelf()["firings"] if diameter_mm <= one["max_diameter_mm"] and kind in one["kinds"])
    return firing["segments"][-1]["hold_min"] / 60


@checks("burnout", "BO-HOLD")
def test_the_shelf_holds_longer_at_the_top_for_a_larger_flask(row: Row):
    # common practice: from the 6, 8 and 12 hour cycles
    diameter_mm = row.inputs["flask_D_max_in"] * MM_PER_IN
    row.check(top_hold_h(diameter_mm, "wax"))
    # a plan warns below that, and not at it
    for minutes, warned in ((float(row.value) * 60, False), (float(row.value) * 60 - 1, True)):
        day = firing_day((149, 120), (732, minutes), diameter_mm=diameter_mm)
        assert ("N-02-hold" in levels_by_rule(day)) == warned


@checks("burnout", "BO-RULE-008")
def test_resin_is_held_longer_than_wax_in_the_same_flask(row: Row):
    # common practice: one class longer than wax
    row.check(top_hold_h(50.8, "resin"))
    assert top_hold_h(50.8, "wax") < float(row.value)
    for minutes, warned in ((float(row.value) * 60, False), (float(row.value) * 60 - 1, True)):
        day = firing_day((149, 120), (732, minutes), diameter_mm=50.8, pattern="print-resin")
        assert ("N-02-hold" in levels_by_rule(day)) == warned


@checks("burnout", "BO-RULE-009")
def test_resin_stands_further_from_the_wall(row: Row):
    # common practice
    row.check(shelf()["rules"]["resin_wall_mm"])


@checks("burnout", "BO-RULE-006")
def test_no_flask_of_the_shelf_falls_too_far_before_the_pour(row: Row):
    # common practice: keeps clear of the cristobalite step
    coldest = min(low for alloy in shelf()["alloys"] for low, _ in alloy["flask_c"].values())
    assert coldest >= float(row.value)
    row.check(rulebook().limit("flask_keep_c"))


@checks("alloys", "AL-FLASK-009")
def test_the_hottest_flask_is_the_hottest_used(row: Row):
    # common practice: upper end of all that is used, 1300 F
    hottest_c = rulebook().limit("flask_hottest_c")
    row.check(hottest_c)
    assert pytest.approx((row.inputs["printed_F"] - 32) / 1.8, abs=1) == hottest_c
