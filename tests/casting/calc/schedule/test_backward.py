"""Back from the first pour: loads, mixes, mounting, within the studio's hours."""

from datetime import datetime

from casting.calc.schedule.backward import latest_start, mount_min, working_day
from casting.calc.values.day_input import WorkingDay
from tests.contract import breaches
from tests.days.day_file import a_day_file, planned, step, wax_row

DAY = WorkingDay(opens=-60, closes=510, hand_in_until=210, midnight=-600)
DAY_BEFORE = WorkingDay(opens=-1500, closes=-930, hand_in_until=-1230, midnight=-2040)


def test_a_start_moves_back_into_the_hours():
    hours = (DAY_BEFORE, DAY)
    assert latest_start(100, 8, hours) == 100
    assert latest_start(600, 8, hours) == 502  # ends as the studio closes
    assert latest_start(-100, 8, hours) == -938  # the evening before
    assert latest_start(-1600, 8, hours) is None


def test_a_start_without_hours_stays():
    assert latest_start(-100, 8, ()) == -100


def test_a_minute_falls_in_its_local_day():
    assert working_day(-601, (DAY_BEFORE, DAY)) == DAY_BEFORE
    assert working_day(-600, (DAY_BEFORE, DAY)) == DAY
    assert working_day(-3000, (DAY_BEFORE, DAY)) is None


class Rules:
    mount_min_per_wax, mount_min_per_flask, mount_floor_min, hands = 4, 6, 60, 3


def test_mounting_is_shared_by_the_hands_and_has_a_floor():
    # 24 x 4 + 7 x 6 = 138 min of work, 46 each: the floor of 60 counts
    assert mount_min(24, 7, Rules) == 60
    # 60 x 4 + 15 x 6 = 330, 110 each
    assert mount_min(60, 15, Rules) == 110
    # 50 x 4 + 15 x 6 = 290, 96.67 each: up to the minute
    assert mount_min(50, 15, Rules) == 97


def test_the_last_mix_is_as_late_as_the_set_allows():
    plan = planned(a_day_file([wax_row("w1")]))
    # loaded as the kiln goes on at 21:25; 120 min set; 0.85 x 9.5 = 8.07 -> 8 min to pour: 19:17
    assert step(plan, "mix")["at"] == "2027-06-12T19:17:00-06:00"
    # one wax, one flask: the floor of 60 min
    assert step(plan, "hand_in_closes")["at"] == "2027-06-12T18:17:00-06:00"


def test_mix_and_load_stay_inside_the_hours():
    plan = planned(a_day_file([wax_row("w1")], hours={"opens": "09:00", "closes": "18:30", "hand_in_until": "13:30"}))
    # loaded by 18:30, so set from 16:30, so mixed from 16:22
    assert step(plan, "load")["at"] == "2027-06-12T18:30:00-06:00"
    assert step(plan, "mix")["at"] == "2027-06-12T16:22:00-06:00"
    assert not [c for c in plan["cautions"] if c["id"] == "hand-in-early"]


def test_a_hand_in_that_closes_too_early_is_said():
    plan = planned(a_day_file([wax_row("w1")], hours={"opens": "09:00", "closes": "18:30", "hand_in_until": "17:00"}))
    assert [c["level"] for c in plan["cautions"] if c["id"] == "hand-in-early"] == ["WARN"]


def test_a_mix_lasts_by_what_was_measured_where_that_is_less():
    # 0.85 x 9.5 = 8.07, 0.85 x 8 = 6.8 and 0.85 x 12 (the powder's 9.5 counts) = 8.07 min, down
    waxes = [wax_row(f"w{nth}", alloy=metal) for nth, metal in enumerate(("sterling", "si-bronze"))]
    for gloss_off_min, lasts, bowls in ((None, 8, 1), (8, 6, 2), (12, 8, 1)):
        day = a_day_file(waxes, **({} if gloss_off_min is None else {"gloss_off_min": gloss_off_min}))
        plan = planned(day)
        assert breaches(day, plan) == []
        mixes = [step for step in plan["steps"] if step["do"] == "mix"]
        minutes = {
            (datetime.fromisoformat(step["until"]) - datetime.fromisoformat(step["at"])).seconds // 60 for step in mixes
        }
        assert minutes == {lasts} and len(mixes) == bowls
