"""What a plan asks of people who are not there: told once, with the exact minute, and nothing of it by day."""

import datetime as dt
import random

import pytest

from casting.calc.cautions.people import kilns_alone, somebody_is_there, with_on_call
from casting.calc.cautions.rulebook import raised
from casting.calc.values.day_input import WorkingDay
from casting.calc.values.day_plan import FiredSegment, FiringPlan
from casting.dayfile.rules_file import rulebook
from tests.casting.calc.cautions.cases import ALL_DAY, NINE_TO_SIX, night_day, one_flask_day
from tests.contract import breaches
from tests.contract.people import people_breaches
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.day_input import a_day

# Open from 60 min before the first pour to 510 after it, and the same the day before: closed from -930 to -60.
OPEN = (WorkingDay(-1500, -930, None), WorkingDay(-60, 510, None))
# On at -800, at its top from -400 to -200, at the flasks' temperature from -100.
NIGHT = FiringPlan("k1", "8h", -800, (
    FiredSegment(100, 732, 200, -800, -400, -200, False), FiredSegment(100, 538, 130, -200, -100, 30, True),
))  # fmt: skip


def said(day):
    """The lines about people of a plan, by rule."""
    return {one["id"]: one["text"] for one in planned(day)["cautions"] if one["id"].startswith(("kiln-", "hours-"))}


def test_somebody_is_there_from_opening_to_closing():
    assert somebody_is_there(-60, 510, OPEN) and somebody_is_there(-930, -930, OPEN)
    assert not somebody_is_there(-61, -60, OPEN) and not somebody_is_there(500, 511, OPEN)


def test_a_kiln_alone_knows_when_it_is_set_and_when_it_is_hottest():
    (alone,) = kilns_alone([NIGHT], a_day([], hours=OPEN))
    assert (alone.on_at, alone.turns, alone.spans, alone.top_heat) == (-800, (-200,), ((-800, -60),), ((-400, -200),))
    assert kilns_alone([NIGHT], a_day([])) == ()


def test_of_a_kiln_that_is_on_what_lies_behind_is_not_asked():
    (alone,) = kilns_alone([NIGHT], a_day([], hours=OPEN, now=-300, kiln_on_at={"k1": -800}))
    assert (alone.on_at, alone.turns, alone.spans, alone.top_heat) == (None, (-200,), ((-300, -60),), ((-300, -200),))


def test_a_delayed_start_is_told_to_the_minute_and_is_no_warning():
    # 21:25 to the minute: `test_backward` has the same kiln
    lines = said(night_day(delayed_start=True))
    assert lines["kiln-delayed-start"] == "Set a delayed start on kiln k1 for Sat 21:25: nobody is there then."
    assert set(lines) == {"kiln-delayed-start", "kiln-alone"}


def test_without_a_delayed_start_somebody_has_to_be_there():
    lines = said(night_day(delayed_start=False, runs_program=True))
    assert lines["kiln-on-nobody"].startswith("Be there Sat 21:25 to switch on kiln k1, or load and fire earlier.")
    assert set(lines) == {"kiln-on-nobody", "kiln-alone"}


def test_a_kiln_set_by_hand_names_each_turn_in_one_line():
    lines = said(night_day(delayed_start=False, runs_program=False))
    # 149 C is reached 47 min after 21:25 and held 120; 371 C after 80, held 60; 732 C after 130, held 120
    assert "its next heat, Sun 00:12, Sun 02:32 and Sun 06:42." in lines["kiln-turn-nobody"]


def test_what_nobody_recorded_of_a_kiln_is_asked_in_one_line():
    lines = said(night_day())
    assert lines["kiln-ask"] == (
        "Ask whether kiln k1 has a delayed start and a program: that is not recorded. "
        "Nobody is there to switch it on Sat 21:25, nor to set its next heat Sun 00:12, Sun 02:32 and Sun 06:42."
    )
    assert lines["kiln-alone"].endswith("kiln k1 is on: Sat 21:25 to Sun 09:00, top heat Sun 04:42 to 06:42.")


def test_somebody_there_day_and_night_is_asked_nothing():
    assert said(a_day_file([wax_row("w1")], hours=ALL_DAY)) == {}


def test_hours_that_nobody_recorded_are_one_question():
    assert set(said(a_day_file([wax_row("w1")]))) == {"hours-unknown"}
    assert said(a_day_file([])) == {}


def test_hand_in_that_closes_before_the_studio_opens_is_told():
    # the only mix that fits is at 09:00 on the 12th, so mounting has to begin an hour before
    hours = {"opens": "09:00", "closes": "09:08", "days": {"2027-06-13": ["09:00", "18:00"]}}
    lines = said(a_day_file([wax_row("w1")], hours=hours))
    assert lines["hours-bench"] == (
        "Open longer or move the pour: nobody is there for hand-in closing Fri 08:00 and mounting Fri 08:00 to 09:00."
    )


def test_a_last_pour_after_closing_is_told_with_its_flask():
    lines = said(a_day_file([wax_row("w1")], hours=NINE_TO_SIX | {"days": {"2027-06-13": ["09:00", "10:04"]}}))
    assert "pouring A Sun 10:00 to 10:05, quenching A Sun 10:15 and cleaning out A Sun 10:15" in lines["hours-bench"]


def test_a_person_on_call_makes_the_question_a_line_with_the_name():
    day, alone = a_day([], hours=OPEN), kilns_alone([NIGHT], a_day([], hours=OPEN))
    asked = raised(rulebook(), "kiln-alone", kiln="kiln k1", spans="all night")
    assert with_on_call([asked], alone, "", day) == (asked,)
    (told,) = with_on_call([asked], alone, "Imre, 555 0142", day)
    assert told.level == "SAY" and told.text.startswith(
        "Tell Imre, 555 0142, to be on call for kiln k1 while nobody is there: "
    )


ZONES = ("America/Denver", "Europe/London", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns")
# Both clock changes of Denver and of Lord Howe, and a month's end (IANA time zone data).
DATES = ("2027-03-14", "2027-11-07", "2027-10-03", "2027-04-04", "2027-06-01", "2028-03-01")


def a_random_day(seed):
    """A class in any zone, with hours, days of their own and kilns as people may have recorded them."""
    r = random.Random(seed)

    def span():
        opens = r.randrange(0, 22 * 60, 5)
        closes = r.randrange(opens + 30, 24 * 60, 5)
        return [f"{at // 60:02}:{at % 60:02}" for at in (opens, closes)]

    pour_on = dt.date.fromisoformat(r.choice(DATES))
    day = class_day(
        r.randrange(10**6),
        r.randint(1, 9),
        timezone=r.choice(ZONES),
        pour_at=f"{pour_on}T{r.randint(4, 20):02}:{r.randrange(60):02}",
    )
    opens, closes = span()
    near = [(pour_on - dt.timedelta(days=nth)).isoformat() for nth in range(3)]
    own = {one: r.choice([None, span()]) for one in near if r.random() < 0.5}
    day["hours"] = {"opens": opens, "closes": closes, "days": own}
    for kiln in day["kilns"]:
        kiln |= {"delayed_start": r.choice([True, False, None]), "runs_program": r.choice([True, False, None])}
    if r.random() < 0.1:
        del day["hours"]
    return day


@pytest.mark.parametrize("nth", range(25))
def test_a_night_in_any_zone_is_true_and_no_step_outside_the_hours_is_untold(nth):
    seed = random.SystemRandom().randrange(2**32)
    day = a_random_day(seed)
    # the whole contract: causes before effects, one vacuum table, one pour at a time, bands, soaks, cores, people
    assert breaches(day, planned(day, effort=1)) == [], f"a_random_day({seed})"


@pytest.mark.parametrize("id", ["hours-bench", "kiln-on-nobody", "kiln-turn-nobody", "kiln-alone"])
def test_the_check_of_random_days_finds_a_line_that_is_missing(id):
    day = night_day(delayed_start=False, runs_program=False)
    day["hours"] = NINE_TO_SIX | {"days": {"2027-06-13": ["09:00", "10:04"]}}
    plan = planned(day)
    assert people_breaches(day, plan) == []
    plan["cautions"] = [one for one in plan["cautions"] if one["id"] != id]
    assert any("untold" in breach for breach in people_breaches(day, plan))


def test_the_check_of_random_days_finds_a_hot_core_that_is_not_told():
    # a flask of 102 x 102 mm out of the kiln for 15 min: by finite volumes its core is well over 500 C
    day = one_flask_day(101.6, 10)
    plan = planned(day)
    assert breaches(day, plan) == []
    plan["cautions"] = [one for one in plan["cautions"] if one["id"] != "core-hot"]
    assert any(breach.startswith("the core of A at its quench") for breach in breaches(day, plan))
