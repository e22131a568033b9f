"""Cautions about firings: each kiln's firing judged by the flasks that stand in it, at its limits and past them."""

import re
from dataclasses import replace

import pytest

from casting.calc.cautions.firings import of_written
from casting.calc.plan_day import plan_day
from casting.calc.values.day_input import Firing, Segment
from casting.calc.values.enums import Kind
from casting.dayfile.rules_file import rulebook
from tests.casting.calc.cautions.cases import OUR_FIRING, fast, firing_day, full_day, levels_by_rule, named
from tests.contract import breaches
from tests.days.class_day import FIRINGS, KILNS, SIZES, segments
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.day_input import KILN, a_day, a_wax

UNRECORDED = {key: value for key, value in KILNS[0].items() if key != "max_c"}

FAIR = [
    # common practice: 2 h at the top for 2.5 in, 3 h for 3.5 in and for resin, 4 h above
    ("N-01", firing_day((149, 120), (732.2222, 120))),  # 1350 F, as a controller in Fahrenheit shows 732 C
    ("N-02-hold", firing_day((149, 120), (732, 120))),
    ("N-02-hold", firing_day((149, 120), (732, 180), diameter_mm=88.9)),
    ("N-02-hold", firing_day((149, 120), (732, 240), diameter_mm=101.6)),
    ("N-02-hold", firing_day((149, 120), (732, 180), pattern="print-resin")),
    # common practice: at most 170 C/h from 150 to 400 C for flasks of 3 in and more; smaller ones dry sooner
    ("N-14-wide", fast(170, diameter_mm=76.2)),
    ("N-14-wide", fast(171, diameter_mm=63.5)),
    # a full kiln takes the next longer firing: 3 h at the top in place of 2
    ("N-25-load", full_day(8) | {"firings": [FIRINGS[1]]}),
    # a kiln that just reaches the top; one of which it is not recorded is asked about by the school's own rules
    ("kiln-too-cool", firing_day(*OUR_FIRING, kiln={"max_c": 732})),
    ("kiln-too-cool", firing_day(*OUR_FIRING) | {"kilns": [UNRECORDED]}),
    # never below 300 C between top and pour is common practice; cristobalite turns at 200 to 275 C (ceramics
    # reference pages on silica inversions)
    ("N-04-fall", firing_day((149, 120), (732, 240), (300, 60))),
    ("N-04-fall-stop", firing_day((149, 120), (732, 240), (275, 60))),
    # heavy sterling is poured at 440 C: 10 degrees over where the firing ends, and under it
    ("N-04-rise", firing_day((149, 120), (732, 240), (430, 60))),
    ("N-04-rise", firing_day((149, 120), (732, 240), (600, 60))),
    ("N-04-rise", firing_day((149, 120), (732, 240))),
    ("N-14-hold", firing_day((121, 30), (732, 240))),
    ("N-14-hold", firing_day((177, 30), (732, 240))),
    ("N-14-short", firing_day((149, 60), (732, 240))),
]


@pytest.mark.parametrize(("id", "day"), FAIR, ids=named(FAIR))
def test_a_caution_is_not_raised_at_its_limit(id, day):
    assert id not in levels_by_rule(day)


def test_a_firing_that_no_flask_of_the_plan_is_for_says_nothing_of_its_top():
    # 1 h for flasks of 103 mm is short, but the day's only flask, 51 mm, is in the firing before it
    day = a_day_file([wax_row("w1")])
    day["firings"][2]["segments"][-1]["hold_min"] = 120
    assert "N-02-hold" not in levels_by_rule(day)


def test_the_firings_and_ramps_at_their_limits_warn_of_nothing():
    said = levels_by_rule(firing_day(*OUR_FIRING))
    assert not [id for id, level in said.items() if id.startswith("N-0") and level == "WARN"]
    assert not [id for id in levels_by_rule(fast(170)) if id.startswith("N-14")]


def test_a_kiln_that_is_slower_than_its_firing_counts_as_it_runs():
    day = a_day([a_wax("w1")], kilns=(replace(KILN, max_ramp_c_per_h=160),))
    assert "N-14-warn" not in {caution.id for caution in plan_day(day, 1).cautions}


def two_kilns(*waxes, **firing):
    """A small flask of wax and another one, each in a kiln of its own: a floor takes one flask."""
    floor = {"width_mm": 150, "depth_mm": 150}
    kilns = [row | floor | {"max_ramp_c_per_h": 1000} for row in KILNS]
    return a_day_file([wax_row("w1", section="heavy"), *waxes], kilns=kilns, firings=[FIRINGS[2] | firing])


def test_a_firing_is_judged_by_the_flasks_of_its_own_kiln():
    # 2 h at the top are enough for a flask of 64 mm, and one of 89 mm in the other kiln needs 3 h
    wide = wax_row("w2", section="heavy", width_mm=45.0, depth_mm=45.0, height_mm=30.0, alloy="si-bronze")
    short, long = (
        FIRINGS[0] | {"segments": segments((149, 120), (732, 120))},
        FIRINGS[1] | {"segments": segments((149, 120), (732, 180))},
    )
    day = two_kilns(wide) | {"firings": [short, long], "flask_sizes": [SIZES[1], SIZES[4]]}
    plan = planned(day)
    assert len({(flask["size"], flask["kiln"]) for flask in plan["flasks"]}) == 2
    assert {night["firing"] for night in plan["firings"]} == {"6h", "8h"}
    assert "N-02-hold" not in levels_by_rule(day)
    assert "N-02-hold" in levels_by_rule(
        day | {"firings": [short, long | {"segments": segments((149, 120), (732, 179))}]}
    )


def test_resin_in_one_kiln_lengthens_no_other_kiln_s_top():
    resin = wax_row("w2", section="heavy", pattern="print-resin")
    two_h, three_h = (
        FIRINGS[0] | {"segments": segments((149, 120), (732, 120))},
        FIRINGS[1] | {"segments": segments((149, 120), (732, 180))},
    )
    day = two_kilns(resin) | {"firings": [two_h, three_h], "flask_sizes": [SIZES[1]]}
    assert {night["firing"] for night in planned(day)["firings"]} == {"6h", "8h"}
    assert "N-02-hold" not in levels_by_rule(day)


# worked by hand from the limits of the rulebook: each sentence has what is set, what is asked, and why
SENTENCES = [
    ("N-01", firing_day((149, 120), (740, 240)), r"740.*732.*choking gas"),
    ("N-01", firing_day((149, 120), (732.7778, 240)), r"732.*choking gas"),  # 1351 F
    ("N-02-warn", firing_day((149, 120), (600, 240)), r"600.*677.*carbon"),
    ("N-02-stop", firing_day((149, 120), (480, 240)), r"480.*500.*carbon and water"),
    ("N-02-short", firing_day((149, 120), (732, 59)), r"59.*60.*carbon and water"),
    ("N-02-hold", firing_day((149, 120), (732, 179), diameter_mm=88.9), r"180.*179.*carbon in flasks 89 mm wide"),
    ("N-02-hold", firing_day((149, 120), (732, 179), pattern="print-resin"), r"180.*179.*carbon in resin"),
    ("N-04-fall", firing_day((149, 120), (732, 240), (299, 60)), r"300.*299.*crack"),
    ("N-04-fall-stop", firing_day((149, 120), (732, 240), (274, 60)), r"274.*275.*crack"),
    ("N-04-rise", firing_day((149, 120), (732, 240), (400, 60)), r"falls to 400.*kiln k1.*again to 440.*crack"),
    ("kiln-too-cool", firing_day(*OUR_FIRING, kiln={"max_c": 700}), r"kiln k1.*700.*732.*another kiln"),
    ("N-14-fast", fast(501), r"501.*500.*steam bursts"),
    ("N-14-warn", fast(281), r"281.*300.*280.*steam cracks"),
    ("N-14-wide", fast(171, diameter_mm=76.2), r"171.*76 mm wide.*150.*400.*170.*steam cracks"),
    ("N-14-hold", firing_day((149, 1), (732, 240)), r"30 minutes near 150.*Steam and wax"),
    ("N-14-short", firing_day((149, 59), (732, 240)), r"59.*60.*Steam and wax"),
]


@pytest.mark.parametrize(("id", "day", "words"), SENTENCES, ids=named(SENTENCES))
def test_a_finding_tells_its_figure_the_limit_and_the_reason(id, day, words):
    (said,) = {caution["text"] for caution in planned(day)["cautions"] if caution["id"] == id}
    assert re.search(words, said)


def test_a_kiln_that_stays_too_cool_is_passed_by_while_another_gets_hot_enough():
    day = a_day_file([wax_row("w1"), wax_row("w2")], kilns=[KILNS[0] | {"max_c": 700}, KILNS[1]])
    plan = planned(day)
    assert {flask["kiln"] for flask in plan["flasks"]} == {"k2"} and breaches(day, plan) == []
    assert "kiln-too-cool" not in levels_by_rule(day)
    both = day | {"kilns": [row | {"max_c": 700} for row in KILNS]}
    assert levels_by_rule(both)["kiln-too-cool"] == "STOP" and breaches(both, planned(both)) == []


# a floor of 86 %: small flasks want 3 h at the top for their 2, resin 4 h for its 3; the largest have no longer firing
@pytest.mark.parametrize(
    ("firing", "pattern", "diameter_mm", "said"),
    [
        (FIRINGS[0], "carving-wax", 63.5, True),
        (FIRINGS[1], "carving-wax", 63.5, False),
        (FIRINGS[1], "print-resin", 63.5, True),
        (FIRINGS[2], "print-resin", 63.5, False),
        (FIRINGS[2], "carving-wax", 101.6, True),
    ],
)
def test_a_full_kiln_asks_for_the_next_longer_firing_and_is_content_with_it(firing, pattern, diameter_mm, said):
    size = {"key": "one", "diameter_mm": diameter_mm, "outside_mm": diameter_mm + 4, "height_mm": 76.2, "count": 8}
    # the floor of `full_day` for 67.5 mm, as much larger as the flask and its gap are
    scale = (diameter_mm + 16) / 79.5
    kiln = KILNS[0] | {"width_mm": 38 + 162 * scale, "depth_mm": 38 + 362 * scale}
    waxes = [wax_row(f"w{nth}", pattern=pattern) for nth in range(8)]
    day = a_day_file(waxes, firings=[firing], kilns=[kiln], flask_sizes=[size | {"waxes_max": 1}])
    assert len(planned(day)["flasks"]) == 8
    assert ("N-25-load" in levels_by_rule(day)) == said


def test_a_firing_as_it_is_written_is_judged_by_the_widest_flask_and_the_kinds_that_it_is_for():
    segments = (Segment(167, 149, 120), Segment(167, 371, 60), Segment(167, 732, 120))
    firing, book = Firing("own", 64, 77, frozenset({Kind.WAX}), segments), rulebook()
    assert not list(of_written(firing, book))
    # 2 h at the top are common practice to 2.5 in; 3 h above it, and for resin
    for other in (replace(firing, max_diameter_mm=66.0), replace(firing, kinds=frozenset({Kind.RESIN}))):
        assert [one.id for one in of_written(other, book)] == ["N-02-hold"]
    # stones are not asked for the top of wax, but for its hold
    stones = replace(firing, kinds=frozenset({Kind.STONES}), segments=(Segment(150, 149, 120), Segment(150, 630, 60)))
    assert [one.id for one in of_written(stones, book)] == ["stones-short"]
