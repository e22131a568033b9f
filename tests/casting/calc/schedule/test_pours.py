"""Forward through the pours: soaks, order, quenches."""

from tests.days.day_file import a_day_file, planned, step, wax_row


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
