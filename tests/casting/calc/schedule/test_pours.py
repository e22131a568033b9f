"""Forward through the pours: soaks, order, quenches."""

from dataclasses import replace

import pytest

from casting.calc.schedule.pours import wait_min
from tests.contract import breaches
from tests.days.day_file import a_day_file, planned, step, wax_row
from tests.days.day_input import SMALL, a_day


def test_the_first_pour_is_at_the_hour_and_the_kiln_on_as_late_as_its_soak_and_slack_allow():
    plan = planned(a_day_file([wax_row("w1")]))
    (firing,) = plan["firings"]
    # 20 -> 149 at 167: 46.35 -> 47; 120; 222/167: 79.76 -> 80; 60; 361/167: 129.7 -> 130; 120;
    # 732 -> 538 at 150: 77.6 -> 78; soak 60; slack 60: 755 min before 10:00 is 21:25 the evening before
    assert firing["on_at"] == "2027-06-12T21:25:00-06:00"
    assert step(plan, "pour")["at"] == "2027-06-13T10:00:00-06:00"
    # pour_min 5, then 10 min for a 64 mm flask
    assert step(plan, "quench")["at"] == "2027-06-13T10:15:00-06:00"


def test_the_night_of_the_clock_change_is_counted_in_utc():
    plan = planned(a_day_file([wax_row("w1")], pour_at="2027-03-14T10:00"))
    # the same 755 minutes; that night has 23 hours: 21:25 less one hour of clock
    assert plan["firings"][0]["on_at"] == "2027-03-13T20:25:00-07:00"


def test_pours_go_hot_to_cool_and_wait_for_the_soak():
    plan = planned(
        a_day_file([wax_row("w1", section="thin"), wax_row("w2", section="heavy"), wax_row("w3", section="thin")])
    )
    hot, cool = plan["flasks"]
    # thin 593, heavy 440: a fall of 153 C counts as a fall from the top: 153/150 h = 61.2 -> 62 min, soak 60
    assert (hot["flask_c"], cool["flask_c"]) == (593, 440)
    assert cool["out_at"] == "2027-06-13T12:02:00-06:00"


def test_few_hands_quench_clear_of_the_pours():
    waxes = [wax_row("w1", owner="Ada", student="Ada"), wax_row("w2", owner="Ben", student="Ben"), wax_row("w3")]
    rules = {"hands": 2, "pitch_min": 8}
    plan = planned(a_day_file(waxes, rules=rules))
    # pours at 10:00, 10:08, 10:16; quench due 10:15 lies in [10:14, 10:21): moved to 10:21
    first = next(f for f in plan["flasks"] if f["out_at"] == "2027-06-13T10:00:00-06:00")
    assert first["quench_at"] == "2027-06-13T10:21:00-06:00"


# Five flasks at 538 C. Sterling, 45 g of 376.1 J/g: 16.93 kJ, at 400 W 0.71 min. Bronze of 95 Cu, 4 Si, 1 Mn to
# 1060 C, 36 g of 745.7 J/g: 26.84 kJ, 1.12 min. With 3 min of setting up 4 and 5 min; in a fresh crucible 7 and 8.
# At 100 W 2.82 and 4.47 min: 6 and 8, in a fresh one 9 and 11.
METALS = ["sterling", "sterling", "sterling", "si-bronze", "si-bronze"]
FIVE = [wax_row(f"w{n}", owner=f"Ada {n}", student=f"Ada {n}", alloy=metal) for n, metal in enumerate(METALS)]


@pytest.mark.parametrize(
    ("rules", "melts"),
    [
        # A fair torch keeps the pitch of 8 min with one metal; bronze wants a fresh crucible: from 10:18, when C's
        # silver has left the torch, 8 min.
        ({}, ["09:53 10:00", "10:04 10:08", "10:12 10:16", "10:18 10:26", "10:29 10:34"]),
        # The other torch warms bronze's crucible meanwhile: the pitch holds.
        ({"torches": 2}, ["09:53 10:00", "10:04 10:08", "10:12 10:16", "10:16 10:24", "10:27 10:32"]),
        # A weak torch: silver still keeps the pitch, 2 + 6; bronze takes 2 + 11, then 2 + 8.
        ({"melt_w": 100}, ["09:51 10:00", "10:02 10:08", "10:10 10:16", "10:18 10:29", "10:31 10:39"]),
        # Two weak torches, both with a crucible of bronze at the end: the second would not be free for E before 10:34.
        (
            {"melt_w": 100, "torches": 2},
            ["09:51 10:00", "10:02 10:08", "10:10 10:16", "10:13 10:24", "10:21 10:32"],
        ),
        # An electric melter's own 12 min for any charge, 15 with a fresh crucible, and 2 until the metal has left it
        ({"melter_min": 12}, ["09:45 10:00", "10:02 10:14", "10:16 10:28", "10:30 10:45", "10:47 10:59"]),
    ],
)
def test_a_flask_waits_in_the_kiln_until_its_metal_is_ready(rules, melts):
    day = a_day_file(FIVE, rules=rules)
    plan = planned(day)
    steps = [one for one in plan["steps"] if one["do"] == "melt"]
    assert [f"{one['at'][11:16]} {one['until'][11:16]}" for one in steps] == melts
    assert [flask["out_at"] for flask in plan["flasks"]] == [one["until"] for one in steps]
    # the kiln holds until the last is out, and goes on no earlier for it
    assert step(plan, "soak")["until"] == plan["totals"]["last_pour_at"] == plan["flasks"][-1]["out_at"]
    assert step(plan, "kiln_on")["at"] == "2027-06-12T21:25:00-06:00"
    assert breaches(day, plan) == []


def test_the_quench_follows_the_pour_that_moved():
    plan = planned(a_day_file(FIVE, rules={"melt_w": 100}))
    # E out at 10:39, poured by 10:44, 12 min for bronze in a 51 mm flask
    assert plan["flasks"][-1]["quench_at"] == "2027-06-13T10:56:00-06:00"


def test_a_later_temperature_begins_when_the_last_flask_is_out_that_had_to_wait():
    waxes = [wax_row("w1"), wax_row("w2", alloy="si-bronze"), wax_row("w3", section="heavy")]
    rules = {"sections_may_differ_by": 0}
    early, late = (planned(a_day_file(waxes, rules=rules | more)) for more in ({}, {"cup_change_min": 13}))
    # bronze out at 10:10, or 10:20; silver's heavy flask at 440 C: (538 - 440) / 150 h, 39.2, so 40 min; soak 30
    assert [plan["flasks"][1]["out_at"][11:16] for plan in (early, late)] == ["10:10", "10:20"]
    assert [plan["flasks"][2]["out_at"][11:16] for plan in (early, late)] == ["11:20", "11:30"]


def test_a_melt_names_its_crucible_if_there_are_several_and_when_to_change_it():
    plan = planned(a_day_file(FIVE, rules={"crucibles_ml": [6]}))
    # 80 % of 6 ml: 49.7 g of sterling, 40.1 g of bronze
    said = [one["say"] for one in plan["steps"] if one["do"] == "melt"]
    assert said[0].startswith("Melt 45 g of sterling silver for flask A in the 6 ml crucible, to 970")
    assert ["fresh crucible" in say for say in said] == [False, False, False, True, False]
    assert not any("ml crucible" in one["say"] for one in planned(a_day_file(FIVE))["steps"])


def test_a_flask_waits_by_its_diameter_and_one_with_stones_until_it_is_cold():
    """Sterling's table asks 10 min up to 64 mm and 15 to 90; with stones it is 240 (`stones_cool_min`)."""
    day = a_day([])
    sterling = replace(day.alloys["sterling"], quench_min_by_diameter=((64, 10), (90, 15)))
    waits = [wait_min(sterling, replace(SMALL, diameter_mm=mm), day, stones=False) for mm in (50.8, 64, 76.2)]
    assert waits == [10, 10, 15]
    assert wait_min(sterling, SMALL, day, stones=True) == 240
