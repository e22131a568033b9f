"""Days that each raise one caution: rule, level, day file. Limits as in the rule file."""

from tests.days.class_day import ALLOYS, FIRINGS, INVESTMENT, KILNS, PATTERNS, SIZES, segments
from tests.days.day_file import a_day_file, planned, wax_row

STERLING = ALLOYS[0]


def levels_by_rule(day):
    """The rules that a plan of the day raises, with their levels."""
    return {caution["id"]: caution["level"] for caution in planned(day)["cautions"]}


def alloy_day(**changes):
    """Sterling that is changed; other parts that are all recorded make its specific gravity."""
    parts = changes.get("composition_pct", {None: None})
    computed = {} if None in parts.values() else {"specific_gravity": None}
    return a_day_file([wax_row("w1")], alloys=[STERLING | computed | changes])


def powder_day(**changes):
    return a_day_file([wax_row("w1")], investment=INVESTMENT | changes)


def pattern_day(**changes):
    """A print of the school's own; what it does in the kiln is not recorded unless `changes` says it."""
    row = PATTERNS[2] | {"key": "own"} | changes
    return a_day_file([wax_row("w1", pattern=row["key"])], patterns=[row])


def firing_day(*steps, kiln=None, diameter_mm=63.5, pattern="carving-wax", **changes):
    """One firing for every flask, in a kiln that may be changed; one size of flask, 102 mm tall."""
    firing = FIRINGS[2] | {"segments": segments(*steps)} | changes
    size = {"key": "one", "diameter_mm": diameter_mm, "height_mm": 101.6, "count": 1}
    waxes = [wax_row("w1", section="heavy", pattern=pattern)]
    return a_day_file(waxes, firings=[firing], kilns=[KILNS[0] | (kiln or {})], flask_sizes=[size])


def band_day(low, high):
    """A metal whose flasks are all poured at one temperature."""
    return alloy_day(flask_c={section: [low, high] for section in STERLING["flask_c"]})


def full_day(flasks):
    """Flasks of one wax each on a floor of 200 x 400 mm.

    By hand: a flask of 67.5 mm and its gap of 12 take 79.5^2 = 6320 mm2; inside wall gaps of 25 mm the floor counts
    (200 - 50 + 12) x (400 - 50 + 12) = 58644 mm2. Six are 64.7 %, seven 75.4 %, eight 86.2 %.
    """
    size = {"key": "one", "diameter_mm": 63.5, "outside_mm": 67.5, "height_mm": 76.2, "count": 8, "waxes_max": 1}
    kiln = KILNS[0] | {"width_mm": 200, "depth_mm": 400}
    return a_day_file([wax_row(f"w{nth}") for nth in range(flasks)], flask_sizes=[size], kilns=[kiln])


def fast(ramp, **changes):
    """A firing that climbs at `ramp` C an hour, in a kiln that can."""
    steps = [{"ramp_c_per_h": ramp, "to_c": c, "hold_min": h} for c, h in ((149, 120), (732, 180))]
    return firing_day(segments=steps, kiln={"max_ramp_c_per_h": 1000}, **changes)


def size_day(**changes):
    return a_day_file([wax_row("w1")], flask_sizes=[SIZES[1] | changes])


RECORDED = {"poison_gas": False, "heavy_smoke": False, "ash": False, "unknown_plastic": False}
"""What plain wax does in the kiln."""
OUR_FIRING = ((149, 120), (482, 120), (732, 240))

OF_MATERIALS = [
    ("R-01a", "SAY", alloy_day(composition_pct={"Ag": 98.5, "Zn": 1.5})),
    ("R-01a", "SAY", alloy_day(composition_pct={"Cu": 70, "Zn": 30})),
    ("R-01b", "STOP", alloy_day(composition_pct={"Cu": 70, "Zn": 30})),
    ("R-01b", "STOP", alloy_day(composition_pct={"Ag": 92.5, "Zn": None})),
    ("R-02", "SAY", alloy_day(composition_pct={"Cu": 95, "Si": 5})),
    ("R-03", "SAY", alloy_day(composition_pct={"Ag": 90, "Ni": 10})),
    ("R-03", "SAY", alloy_day(composition_pct={"Ag": 90, "Ni": None})),
    ("R-05", "WARN", alloy_day(composition_pct={"Ag": 92.5, "Zn": None})),
    ("R-08", "SAY", a_day_file([wax_row("w1", pattern="print-resin")])),
    ("R-09", "WARN", pattern_day(heavy_smoke=True)),
    ("R-09", "WARN", pattern_day(heavy_smoke=None)),
    ("R-10", "STOP", pattern_day(poison_gas=True)),
    ("R-10", "STOP", pattern_day(unknown_plastic=True)),
    ("pattern-ask", "WARN", pattern_day()),
    ("pattern-ask", "WARN", pattern_day(**RECORDED | {"unknown_plastic": None})),
    ("pattern-ash", "WARN", pattern_day(ash=True)),
    ("wax-sinks", "WARN", pattern_day(kind="wax", specific_gravity=1.01)),
    ("R-12-hot", "STOP", alloy_day(pour_c=1101)),
    ("R-12-metal", "STOP", alloy_day(composition_pct={"Pd": 95, "Ru": 5})),
    ("R-12-hot", "STOP", alloy_day(pour_c=1101) | {"investment": INVESTMENT | {"kind": "unknown"}}),
    ("R-13", "SAY", powder_day(kind="phosphate")),
    ("R-13", "SAY", powder_day(kind="unknown")),
    ("R-38", "SAY", alloy_day(composition_pct={"Ag": 93.5, "Cu": 6.5, "Ge": None})),
    ("R-38", "SAY", alloy_day(composition_pct={"Ag": 93.5, "Cu": 5.3, "Ge": 1.2})),
    ("N-11-warn", "WARN", powder_day(water_per_100=43)),
    ("N-11-stop", "STOP", powder_day(water_per_100=46)),
    ("N-12-warn", "WARN", powder_day(set_min=119)),
    ("N-12-stop", "STOP", powder_day(set_min=59)),
    # 0.85 x 7.6 = 6.46 min, and a flask's bowl takes 5 + 1.5 min
    ("gloss-early", "WARN", a_day_file([wax_row("w1")], gloss_off_min=7.6)),
    ("N-15-warn", "WARN", alloy_day(pour_c=1000)),
    ("N-15-warn", "WARN", alloy_day(pour_c=944, composition_pct={"Cu": 70, "Zn": 30})),
    ("N-15-stop", "STOP", alloy_day(pour_c=1000, liquidus_c=749, solidus_c=700)),
    # Parts worked by hand: 100 / (92.5 / 10.49 + 7.5 / 8.96) is 10.36, so 10.58 is 2.1 % over.
    ("gravity-ask", "WARN", alloy_day(specific_gravity=10.58)),
    ("melting-ask", "WARN", alloy_day(solidus_c=893, liquidus_c=893)),
    ("melting-ask", "WARN", alloy_day(solidus_c=893, liquidus_c=893, composition_pct={"Ag": 92.5, "Cu": None})),
    ("resin-floats", "WARN", pattern_day(specific_gravity=0.96, **RECORDED)),
    (
        "price-missing",
        "WARN",
        alloy_day(key="unpriced", price_per_g=None) | {"waxes": [wax_row("w1", alloy="unpriced")]},
    ),
]
# The powder maker's plan for stones as common practice tells it: 2 h at 149, 2 h at 260, 10 h at 413 C.
STONES_FIRING = FIRINGS[2] | {
    "key": "stones",
    "kinds": ["stones"],
    "segments": segments((149, 120), (260, 120), (413, 600)),
}


def stones_day(*steps, stones="take_firing", **changes):
    """A heavy ring with stones left in it; the school has a firing for stones."""
    firing = STONES_FIRING | ({"segments": segments(*steps)} if steps else {})
    waxes = [wax_row("w1", section="heavy", wax_g=5.0, stones=stones, **changes)]
    return a_day_file(waxes, firings=[*FIRINGS, firing])


def one_flask_day(diameter_mm, quench_min):
    """A wax of medium section, 538 C, in the one flask of the day, 64 mm tall or as tall as it is wide."""
    sterling = STERLING | {"quench_min_by_diameter": [[250, quench_min]]}
    size = {"key": "one", "diameter_mm": diameter_mm, "height_mm": max(63.5, diameter_mm), "count": 1}
    wax = wax_row("w1", wax_g=0.7, width_mm=8, depth_mm=4, height_mm=25)
    return a_day_file([wax], alloys=[sterling], flask_sizes=[size])


OF_BENCH = [
    # 538 C, 102 x 102 mm: a finite-volume run with steel and radiation has its core at 514 C after 15 min, 483 after 20
    ("core-hot", "WARN", one_flask_day(101.6, 10)),
    # the same with fast plaster: 32 mm lose some 55 C in 2 min, 38 mm 33 C; 43 C may be lost
    ("core-cools", "WARN", one_flask_day(32, 10)),
    ("stones", "SAY", stones_day()),
    ("stones-short", "STOP", stones_day((149, 120), (413, 599))),
    ("N-01", "WARN", firing_day((149, 120), (740, 240))),
    ("N-02-warn", "WARN", firing_day((149, 120), (600, 240))),
    ("N-02-stop", "STOP", firing_day((149, 120), (480, 240))),
    ("N-02-short", "STOP", firing_day((149, 120), (732, 59))),
    ("N-02-hold", "WARN", firing_day((149, 120), (732, 60))),
    ("N-02-hold", "WARN", firing_day((149, 120), (732, 179), diameter_mm=88.9)),
    ("N-02-hold", "WARN", firing_day((149, 120), (732, 239), diameter_mm=101.6)),
    ("N-02-hold", "WARN", firing_day((149, 120), (732, 179), pattern="print-resin")),
    ("N-04-cold", "STOP", band_day(100, 150)),
    ("N-04-crack", "STOP", band_day(235, 245)),
    ("N-04-low", "WARN", band_day(275, 299)),
    ("N-07-warn", "WARN", alloy_day(quench_min_by_diameter=[[102, 4]])),
    ("N-07-warn", "WARN", alloy_day(quench_min_by_diameter=[[102, 4]], quench_by_min=5)),
    ("N-07-warn", "WARN", alloy_day(quench_min_by_diameter=[[102, 1]], quench_by_min=1)),
    ("N-08-warn", "WARN", a_day_file([wax_row("w1")], rules={"crucible_fill_pct": 81})),
    ("N-08-warn", "WARN", a_day_file([wax_row("w1")], rules={"crucible_fill_pct": 100})),
    ("N-13-resin", "WARN", a_day_file([wax_row("w1", pattern="print-resin")], rules={"resin_wall_mm": 9.9})),
    ("powder-short", "WARN", powder_day(allowance_pct=0)),
    ("powder-short", "WARN", powder_day(allowance_pct=4.9)),
    ("powder-long", "WARN", powder_day(allowance_pct=35.1)),
    ("N-13-wall", "WARN", a_day_file([wax_row("w1")], rules={"wall_mm": 5.9})),
    ("N-13-warn", "WARN", size_day(cover_mm=15)),
    ("N-13-stop", "STOP", size_day(cover_mm=5.9)),
    ("perforated-sleeve", "SAY", size_day(wall="perforated", sleeve_height_mm=76.2)),
    ("N-14-fast", "STOP", fast(501)),
    ("N-14-warn", "WARN", fast(281)),
    ("N-14-wide", "WARN", fast(171, diameter_mm=76.2)),
    # within the firing, after its top: never below 300 C, plaster cracks below 275 C
    ("N-04-fall", "WARN", firing_day((149, 120), (732, 240), (299, 60))),
    ("N-04-fall-stop", "STOP", firing_day((149, 120), (732, 240), (274, 60))),
    # heavy sterling is poured at 440 C, the middle of 399 to 482: a kiln that is at 429 rises 11 degrees, 10 may be
    ("N-04-rise", "WARN", firing_day((149, 120), (732, 240), (429, 60))),
    ("N-14-hold", "STOP", firing_day((732, 240))),
    ("N-14-hold", "STOP", firing_day((149, 1), (732, 240))),
    ("N-14-hold", "STOP", firing_day((120, 120), (178, 120), (732, 240))),
    ("N-14-short", "WARN", firing_day((149, 59), (732, 240))),
    ("N-25-load", "WARN", full_day(8)),
    ("kiln-too-cool", "STOP", firing_day(*OUR_FIRING, kiln={"max_c": 731})),
    ("N-25", "WARN", a_day_file([wax_row("w1")], kilns=[KILNS[0] | {"wall_gap_mm": 24}])),
    ("quench-late", "WARN", alloy_day(quench_by_min=8)),
]
ALL_DAY = {"opens": "00:00", "closes": "23:59"}
"""Somebody is there day and night: 23:59 is midnight."""
NINE_TO_SIX = {"opens": "09:00", "closes": "18:00"}


def night_day(**kiln):
    """One ring whose kiln goes on at 21:25 (see `test_backward`), in a studio that is open from 9 to 6."""
    return a_day_file([wax_row("w1")], hours=NINE_TO_SIX, kilns=[KILNS[0] | kiln])


def reach_day(foot_mm):
    """Two small studs in a 51 x 64 flask, one of them with its foot so far from the axis, as the teacher allows."""
    stud = {"wax_g": 0.1, "width_mm": 4.0, "depth_mm": 3.0, "height_mm": 25.0}
    spots = [
        {"key": "w1", "x_mm": foot_mm, "y_mm": 0, "turn_deg": 90},
        {"key": "w2", "x_mm": -8, "y_mm": 0, "turn_deg": 0},
    ]
    return a_day_file(
        [wax_row("w1", **stud), wax_row("w2", **stud)],
        placed=[{"label": "A", "size": "51x64", "waxes": spots}],
        reach_overruled={"w1": "bent by hand to the cone."},
    )


OF_THE_PLAN = [
    ("sprue-each", "WARN", a_day_file([wax_row("w1", thick_parts=2)])),
    # a mix of 0.85 x 9.5 = 8 min has no room in 5
    ("hours-missed", "STOP", a_day_file([wax_row("w1")], hours={"opens": "10:00", "closes": "10:05"})),
    (
        "charge-changed",
        "WARN",
        a_day_file(
            [wax_row("w1")],
            previous={"A": {"size": "51x64", "waxes": ["w1"]}},
            fixed=["A"],
            charged_g={"A": 1.0},
        ),
    ),
    # the hub of 51 x 64 is 19 mm, the reach 7: a foot 17 mm from the axis is 0.5 mm beyond 16.5
    ("reach-overruled", "WARN", reach_day(17)),
    ("bowl-full", "WARN", a_day_file([wax_row("w1")], rules={"bowl_ml": 300})),
    ("hours-unknown", "WARN", a_day_file([wax_row("w1")])),
    # nobody is there after 10:04, and the first pour lasts from 10:00 to 10:05
    (
        "hours-bench",
        "WARN",
        a_day_file([wax_row("w1")], hours=NINE_TO_SIX | {"days": {"2027-06-13": ["09:00", "10:04"]}}),
    ),
    ("kiln-delayed-start", "SAY", night_day(delayed_start=True)),
    ("kiln-on-nobody", "WARN", night_day(delayed_start=False)),
    ("kiln-turn-nobody", "WARN", night_day(delayed_start=True, runs_program=False)),
    ("kiln-ask", "WARN", night_day()),
    ("kiln-ask", "WARN", night_day(delayed_start=False)),
    ("kiln-alone", "WARN", night_day(delayed_start=True)),
]
CASES = [*OF_MATERIALS, *OF_BENCH, *OF_THE_PLAN]
WITH_A_WAX = ["R-07", "R-11"]
WITH_A_FLASK = ["R-21", "R-22", "R-23", "N-07", "N-10", "white-plaster"]
OF_A_FLASK = ["N-04-band", "N-08", "N-09-warn", "N-09-stop"]
BY_A_NAME = ["kiln-alone-say"]
"""Raised in the test of people, by the name of a person on call."""
BY_THE_CLOCK = ["hand-in-early", "bench-slow", "bench-past-closing", "slow-flask"]
"""Raised in the tests of the pours."""


def named(cases):
    """A name for each case."""
    return [f"{case[0]}-{nth}" for nth, case in enumerate(cases)]
