"""The steps of a day: which there are, in what order, and when a torch is free."""

from tests.contract import breaches
from tests.days.class_day import FIRINGS, segments
from tests.days.day_file import a_day_file, planned, wax_row


def steps(plan, do):
    return [one for one in plan["steps"] if one["do"] == do]


def test_each_flask_goes_through_all_its_steps_in_order():
    plan = planned(a_day_file([wax_row("w1")]))
    order = [one["do"] for one in plan["steps"]]
    expected = ["hand_in_closes", "mount", "mix", "set", "load", "kiln_on", "melt", "pour", "quench", "divest"]
    assert [do for do in order if do in expected] == expected


def test_every_ramp_and_hold_of_the_firing_is_a_step():
    plan = planned(a_day_file([wax_row("w1")]))
    ramps, holds = steps(plan, "ramp"), steps(plan, "hold")
    # the shelf's firing rises to 149, 371 and 732 C
    assert len(ramps) == len(holds) == 3
    assert [ramp["until"] for ramp in ramps] == [hold["at"] for hold in holds]
    assert [hold["until"] for hold in holds[:-1]] == [ramp["at"] for ramp in ramps[1:]]


def test_one_torch_melts_one_charge_at_a_time():
    owners = [wax_row(f"w{n}", owner=f"Ada {n}", student=f"Ada {n}") for n in range(3)]
    plan = planned(a_day_file(owners, rules={"torches": 1, "pitch_min": 8}))
    melts, pours = steps(plan, "melt"), steps(plan, "pour")
    assert len(melts) == 3
    for melt, before in zip(melts[1:], pours, strict=False):
        assert melt["at"] >= before["at"]


def said_of_the_kiln(*last):
    """What is to be done at a kiln from the top on; 2 h at the top, and what comes after it in the same firing."""
    day = a_day_file([wax_row("w1")], firings=[FIRINGS[0] | {"segments": segments((149, 120), (732, 120), *last)}])
    plan = planned(day)
    assert breaches(day, plan) == []
    steps = [step["say"] for step in plan["steps"] if step["do"] in ("ramp", "hold", "soak")]
    return [say.replace("\u2007", " ") for say in steps[3:-1]]


def test_a_fall_within_a_firing_is_told_as_a_fall():
    # Medium sterling is poured at 538 C. The kiln falls 150 C an hour and the firing says 167.
    assert said_of_the_kiln((600, 60)) == [
        "Hold kiln k1 at 732 °C for 120 minutes.",
        "Let kiln k1 fall to 600 °C at 150 °C/h.",
        "Hold kiln k1 at 600 °C for 60 minutes, then let it fall to 538 °C.",
    ]
    assert said_of_the_kiln((538, 60))[-1] == "Hold kiln k1 at 538 °C for 60 minutes, then keep it at 538 °C."


def test_a_kiln_that_has_to_heat_again_is_not_told_to_fall():
    assert said_of_the_kiln((400, 60))[-1] == "Hold kiln k1 at 400 °C for 60 minutes, then heat it again to 538 °C."
