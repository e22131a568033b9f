"""The steps of a day: which there are, in what order, and when a torch is free."""

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
