"""Cautions: each raised by what it is about, and not without it."""

import pytest

from tests.bench.make_day import ALLOYS, INVESTMENT, PATTERNS, segments
from tests.days import a_day, planned, wax

STERLING = ALLOYS[0]


def said(day):
    return {(caution["id"], caution["level"]) for caution in planned(day)["cautions"]}


def alloy_day(**changes):
    return a_day([wax("w1")], alloys=[STERLING | changes])


def test_a_plain_day_warns_of_nothing():
    assert not [caution for caution in planned(a_day([wax("w1")]))["cautions"] if caution["level"] == "WARN"]


@pytest.mark.parametrize(
    ("day", "caution"),
    [
        (alloy_day(composition_pct={"Cu": 70, "Zn": 30}), ("R-01b", "STOP")),
        (alloy_day(composition_pct={"Ag": 92.5, "Zn": None}), ("R-01b", "STOP")),
        (alloy_day(composition_pct={"Ag": 92.5, "Zn": None}), ("R-05", "WARN")),
        (alloy_day(composition_pct={"Ag": 98.5, "Zn": 1.5}), ("R-01a", "SAY")),
        (alloy_day(composition_pct={"Ag": 90, "Ni": 10}), ("R-03", "SAY")),
        (alloy_day(pour_c=1000), ("N-15-warn", "WARN")),
        (alloy_day(pour_c=1101), ("R-12-hot", "STOP")),
        (alloy_day(composition_pct={"Pd": 95, "Ru": 5}), ("R-12-metal", "STOP")),
        (alloy_day(quench_by_min=8), ("quench-late", "WARN")),
        (a_day([wax("w1", pattern="print-resin")]), ("R-08", "SAY")),
        (a_day([wax("w1", pattern="abs")], patterns=[PATTERNS[2] | {"key": "abs"}]), ("R-10", "STOP")),
        (a_day([wax("w1")], investment=INVESTMENT | {"water_per_100": 43}), ("N-11-warn", "WARN")),
        (a_day([wax("w1")], investment=INVESTMENT | {"water_per_100": 46}), ("N-11-stop", "STOP")),
        (a_day([wax("w1")], rules={"bowl_ml": 300}), ("bowl-full", "WARN")),
    ],
)
def test_a_caution_is_raised_by_what_it_is_about(day, caution):
    plain = said(a_day([wax("w1")]))
    assert caution in said(day)
    assert caution not in plain


def test_a_firing_that_stays_cold_is_a_stop():
    firing = {
        "key": "cold",
        "max_diameter_mm": 64,
        "max_height_mm": 77,
        "kinds": ["wax"],
        "segments": segments((149, 120), (480, 60)),
    }
    assert ("N-02-stop", "STOP") in said(a_day([wax("w1", section="heavy")], firings=[firing]))


@pytest.mark.parametrize(
    "day",
    [
        alloy_day(pour_c=1101),
        alloy_day(composition_pct={"Pd": 95, "Ru": 5}),
        a_day([wax("w1", pattern="abs")], patterns=[PATTERNS[2] | {"key": "abs"}]),
    ],
)
def test_a_wax_of_a_stopped_alloy_or_pattern_is_left_out(day):
    plan = planned(day)
    assert [left["reason"] for left in plan["left_out"]] == ["stopped"]
    assert plan["flasks"] == []


def test_zinc_without_a_fan_leaves_no_wax_out():
    assert planned(alloy_day(composition_pct={"Cu": 70, "Zn": 30}))["left_out"] == []
