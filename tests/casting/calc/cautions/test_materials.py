"""Cautions of a day file: each raised by what it is about, and not without it. Limits as in the rule file."""

import json
from dataclasses import replace

import pytest

from casting.calc.cautions.bench import of_flask
from casting.calc.plan_day import plan_day
from casting.dayfile import read
from tests.bench.make_day import ALLOYS, FIRINGS, INVESTMENT, KILNS, PATTERNS, SIZES, segments
from tests.casting.calc.days import KILN, a_wax
from tests.casting.calc.days import a_day as values
from tests.days import a_day, planned, wax

STERLING = ALLOYS[0]


def said(day):
    return {(caution["id"], caution["level"]) for caution in planned(day)["cautions"]}


def alloy_day(**changes):
    return a_day([wax("w1")], alloys=[STERLING | changes])


def powder_day(**changes):
    return a_day([wax("w1")], investment=INVESTMENT | changes)


def pattern_day(**changes):
    row = PATTERNS[2] | changes
    return a_day([wax("w1", pattern=row["key"])], patterns=[row])


def firing_day(*steps, kiln=None, **changes):
    """One firing for every flask, in a kiln that may be changed."""
    firing = FIRINGS[2] | {"segments": segments(*steps)} | changes
    return a_day([wax("w1", section="heavy")], firings=[firing], kilns=[KILNS[0] | (kiln or {})])


def fast(ramp):
    """A firing that climbs at `ramp` C an hour, in a kiln that can."""
    steps = [{"ramp_c_per_h": ramp, "to_c": c, "hold_min": h} for c, h in ((149, 120), (732, 180))]
    return firing_day(segments=steps, kiln={"max_ramp_c_per_h": 1000})


def size_day(**changes):
    return a_day([wax("w1")], flask_sizes=[SIZES[1] | changes])


OUR_FIRING = ((149, 120), (482, 120), (732, 240))

CASES = [
    ("R-01a", "SAY", alloy_day(composition_pct={"Ag": 98.5, "Zn": 1.5})),
    ("R-01a", "SAY", alloy_day(composition_pct={"Cu": 70, "Zn": 30})),
    ("R-01b", "STOP", alloy_day(composition_pct={"Cu": 70, "Zn": 30})),
    ("R-01b", "STOP", alloy_day(composition_pct={"Ag": 92.5, "Zn": None})),
    ("R-02", "SAY", alloy_day(composition_pct={"Cu": 95, "Si": 5})),
    ("R-03", "SAY", alloy_day(composition_pct={"Ag": 90, "Ni": 10})),
    ("R-03", "SAY", alloy_day(composition_pct={"Ag": 90, "Ni": None})),
    ("R-05", "WARN", alloy_day(composition_pct={"Ag": 92.5, "Zn": None})),
    ("R-06b", "WARN", alloy_day(composition_pct={"Al": 92, "Cu": 8})),
    ("R-08", "SAY", a_day([wax("w1", pattern="print-resin")])),
    ("R-09", "WARN", pattern_day(key="pla-print")),
    ("R-10", "STOP", pattern_day(key="abs")),
    ("R-12-hot", "STOP", alloy_day(pour_c=1101)),
    ("R-12-metal", "STOP", alloy_day(composition_pct={"Pd": 95, "Ru": 5})),
    ("R-13", "SAY", powder_day(kind="phosphate")),
    ("R-38", "SAY", alloy_day(composition_pct={"Ag": 93.5, "Cu": 5.3, "Ge": 1.2})),
    ("N-01", "WARN", firing_day((149, 120), (740, 240))),
    ("N-02-warn", "WARN", firing_day((149, 120), (600, 240))),
    ("N-02-stop", "STOP", firing_day((149, 120), (480, 240))),
    ("N-02-short", "STOP", firing_day((149, 120), (732, 59))),
    ("N-04-cold", "STOP", alloy_day(flask_c={section: [100, 150] for section in STERLING["flask_c"]})),
    ("N-11-warn", "WARN", powder_day(water_per_100=43)),
    ("N-11-stop", "STOP", powder_day(water_per_100=46)),
    ("N-12-warn", "WARN", powder_day(set_min=119)),
    ("N-12-stop", "STOP", powder_day(set_min=59)),
    ("N-13-wall", "WARN", a_day([wax("w1")], rules={"wall_mm": 5.9})),
    ("N-13-warn", "WARN", size_day(cover_mm=15)),
    ("N-13-stop", "STOP", size_day(cover_mm=5.9)),
    ("N-14-fast", "STOP", fast(501)),
    ("N-14-warn", "WARN", fast(281)),
    ("N-14-warn", "WARN", fast(171)),
    ("N-14-hold", "WARN", firing_day((732, 240))),
    ("N-15-warn", "WARN", alloy_day(pour_c=1000)),
    ("N-15-warn", "WARN", alloy_day(pour_c=944, composition_pct={"Cu": 70, "Zn": 30})),
    ("N-15-stop", "STOP", alloy_day(pour_c=1000, liquidus_c=749, solidus_c=700)),
    ("N-25", "WARN", a_day([wax("w1")], kilns=[KILNS[0] | {"wall_gap_mm": 24}])),
    ("price-missing", "WARN", alloy_day(key="unpriced", price_per_g=None) | {"waxes": [wax("w1", alloy="unpriced")]}),
    # a mix of 0.85 x 9.5 = 8 min has no room in 5
    ("hours-missed", "STOP", a_day([wax("w1")], hours={"opens": "10:00", "closes": "10:05"})),
    ("bowl-full", "WARN", a_day([wax("w1")], rules={"bowl_ml": 300})),
    ("quench-late", "WARN", alloy_day(quench_by_min=8)),
]
WITH_A_WAX = ["R-07", "R-11"]
WITH_A_FLASK = ["R-21", "R-22", "R-23", "N-07", "N-10", "white-plaster"]
OF_A_FLASK = ["N-04-band", "N-08", "N-09-warn", "N-09-stop"]
BY_THE_CLOCK = ["hand-in-early"]  # test_clock.py


@pytest.fixture(scope="module")
def plain():
    """What is said of one heavy ring in sterling, with everything as the shelf has it."""
    return said(a_day([wax("w1", wax_g=5.0)]))


def test_a_plain_day_warns_of_nothing(plain):
    assert not [id for id, level in plain if level == "WARN"]


def test_the_firings_and_ramps_at_their_limits_warn_of_nothing():
    assert not {id for id, level in said(firing_day(*OUR_FIRING)) if id.startswith("N-0") and level == "WARN"}
    assert not {id for id, _ in said(fast(170)) if id.startswith("N-14")}


@pytest.mark.parametrize(("id", "level", "day"), CASES, ids=[f"{id}-{n}" for n, (id, _, _) in enumerate(CASES)])
def test_a_caution_is_raised_by_what_it_is_about(id, level, day, plain):
    assert (id, level) in said(day)
    assert id not in {found for found, _ in plain}


@pytest.mark.parametrize("id", [*WITH_A_WAX, *WITH_A_FLASK])
def test_what_is_said_at_every_casting_is_not_said_of_an_empty_day(id, plain):
    assert id in {found for found, _ in plain}
    assert id not in {found for found, _ in said(a_day([]))}


# crucible 24 ml x 10.36 x 20 % = 49.7 g; carried: powder and metal over 3 and 7 kg
@pytest.mark.parametrize(
    ("id", "raises", "does_not"),
    [
        ("N-04-band", {"flask_c": 600}, {"flask_c": 566}),
        ("N-08", {"charge_g": 49.5}, {"charge_g": 50.0}),
        ("N-09-warn", {"powder_g": 2951}, {"powder_g": 2950}),
        ("N-09-stop", {"powder_g": 6951}, {"powder_g": 6950}),
    ],
)
def test_a_flask_s_own_cautions(id, raises, does_not):
    day = values([a_wax("w1")])
    (flask,) = plan_day(day, 1).flasks
    flask = replace(flask, charge_g=50.0)
    assert id in {caution.id for caution in of_flask(replace(flask, **raises), day)}
    assert id not in {caution.id for caution in of_flask(replace(flask, **does_not), day)}


@pytest.mark.parametrize(
    "day",
    [
        alloy_day(pour_c=1101),
        alloy_day(composition_pct={"Pd": 95, "Ru": 5}),
        pattern_day(key="abs"),
    ],
)
def test_a_wax_of_a_stopped_alloy_or_pattern_is_left_out(day):
    plan = planned(day)
    assert [left["reason"] for left in plan["left_out"]] == ["stopped"]
    assert plan["flasks"] == []


def test_zinc_without_a_fan_leaves_no_wax_out():
    assert planned(alloy_day(composition_pct={"Cu": 70, "Zn": 30}))["left_out"] == []


def test_a_kiln_that_is_slower_than_its_firing_counts_as_it_runs():
    day = values([a_wax("w1")], kilns=(replace(KILN, max_ramp_c_per_h=160),))
    assert "N-14-warn" not in {caution.id for caution in plan_day(day, 1).cautions}


def test_a_name_with_braces_stands_as_it_is():
    day = read(json.dumps(alloy_day(name="{0}{flask.__class__}", composition_pct={"Ag": 90, "Ni": 10}))).day
    assert any("{0}{flask.__class__}" in caution.text for caution in plan_day(day, 1).cautions)
