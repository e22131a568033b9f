"""Firings: the hours in a name are holds only; the wall clock adds the ramps and the soak."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from casting.calc.schedule.firing import fire, soak_needed_min, written_min
from casting.calc.values.day_input import Firing, Kiln, Segment
from casting.calc.values.enums import Kind
from casting.dayfile.rules_file import rulebook
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


@checks("burnout", "BO-WALL-002", "BO-WALL-007", "BO-WALL-012")
def test_a_kiln_runs_the_same_firing_with_ramps_up_to_whole_minutes(row: Row):
    # computed: arithmetic; the plan's kiln starts at 20 C, the row's at 22 C, and each ramp gains under a minute
    given = row.inputs
    kiln = Kiln("k", 356, 356, 250, given["ramp_C_per_h"], given["cool_C_per_h"], 25)
    fired = fire(Firing("f", 250, 300, frozenset(Kind), tuple(segments_of(row))), kiln)
    fall = (fired[-1].to_c - given["soak_C"]) / given["cool_C_per_h"] * 60
    whole = fired[-1].ends_at + fall + given["soak_h"] * 60
    colder = (given["start_C"] - 20) / given["ramp_C_per_h"] * 60
    assert 0 <= whole - colder - wall_clock_of(row) < len(fired)


@checks("burnout", "BO-RULE-004", "BO-RULE-005")
def test_soak_at_the_flask_temperature(row: Row):
    # common practice
    diameter_in = next(iter(row.inputs.values()))
    row.check(soak_needed_min(flask(diameter_in, 3), 194, after_top=True, book=rulebook()) / 60)


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
    row.check(top_hold_h(row.inputs["flask_D_max_in"] * MM_PER_IN, "wax"))


@checks("burnout", "BO-RULE-008")
def test_resin_is_held_longer_than_wax_in_the_same_flask(row: Row):
    # common practice: one class longer than wax
    row.check(top_hold_h(50.8, "resin"))
    assert top_hold_h(50.8, "wax") < float(row.value)


@checks("burnout", "BO-RULE-009")
def test_resin_stands_further_from_the_wall(row: Row):
    # common practice
    row.check(shelf()["rules"]["resin_wall_mm"])


@checks("burnout", "BO-RULE-006")
def test_no_flask_of_the_shelf_falls_too_far_before_the_pour(row: Row):
    # common practice: keeps clear of the cristobalite step
    coldest = min(low for alloy in shelf()["alloys"] for low, _ in alloy["flask_c"].values())
    assert coldest >= float(row.value)


@checks("alloys", "AL-FLASK-009")
def test_the_hottest_flask_is_the_hottest_used(row: Row):
    # common practice: upper end of all that is used, 1300 F
    hottest_c = rulebook().limit("flask_hottest_c")
    row.check(hottest_c)
    assert pytest.approx((row.inputs["printed_F"] - 32) / 1.8, abs=1) == hottest_c
