"""What was done before a plan is made again: read, kept to, and the words if the first pour is too soon."""

import datetime as dt
import json
import random
from zoneinfo import ZoneInfo

import pytest

from casting.calc.values.errors import Refused
from casting.solve import plan_texts
from tests.contract import breaches
from tests.days.class_day import class_day
from tests.days.day_file import a_day_file, step, wax_row

TWO = [wax_row("w1"), wax_row("w2", alloy="si-bronze")]


def plan_of(day, effort=10):
    """The plan that the site and the command make."""
    return json.loads(next(plan_texts(json.dumps(day).encode(), [effort])))


def kept(day, labels=None, **done):
    """The same day with flasks of its plan fixed."""
    plan = plan_of(day)
    previous = {f["label"]: {"size": f["size"], "waxes": [w["key"] for w in f["waxes"]]} for f in plan["flasks"]}
    fixed = sorted(previous) if labels is None else labels
    return day | {"previous": previous, "fixed": fixed} | done


def invested(day, at="2027-06-12T15:19", labels=None, **done):
    there = kept(day, labels)
    return there | {"invested_at": dict.fromkeys(there["fixed"], at)} | done


def refused(day):
    with pytest.raises(Refused) as why:
        plan_of(day)
    return str(why.value)


def test_an_invested_flask_sets_from_its_time_and_is_loaded():
    day = invested(a_day_file(TWO), now="2027-06-12T15:20")
    plan = plan_of(day)
    # 15:19 and 120 min of set; the kiln goes on at 21:25 as for a flask that is not fixed (test_backward).
    assert (step(plan, "set")["at"], step(plan, "set")["until"]) == (
        "2027-06-12T15:19:00-06:00", "2027-06-12T17:19:00-06:00",
    )  # fmt: skip
    assert [(s["flasks"], s["at"]) for s in plan["steps"] if s["do"] == "load"] == [
        (["A"], "2027-06-12T21:25:00-06:00"), (["B"], "2027-06-12T21:25:00-06:00"),
    ]  # fmt: skip
    assert breaches(day, plan) == []


def test_a_first_pour_moved_before_the_set_is_refused_with_the_earliest():
    day = invested(a_day_file(TWO), now="2027-06-12T15:20")
    # The firing of 12 h 35 min to the pour: at 05:00 the kiln goes on at 16:25; set ends 17:19, 54 min later: 05:54.
    assert refused(day | {"pour_at": "2027-06-13T05:00"}) == (
        "pour_at: the first pour on Sun 13 Jun 05:00 is too soon: flask A sets until Sat 12 Jun 17:19, but kiln k1 "
        "would be loaded on Sat 12 Jun 16:25. The earliest first pour is Sun 13 Jun 05:54."
    )
    plan = plan_of(day | {"pour_at": "2027-06-13T05:54"})
    assert step(plan, "load")["at"] == "2027-06-12T17:19:00-06:00"
    assert "05:54" in refused(day | {"pour_at": "2027-06-13T05:53"})


def test_the_earliest_pour_waits_for_the_studio():
    """Set at 17:19, after it closes at 17:00: loaded as it opens, 09:00; 12 h 35 min to the pour: 21:35."""
    day = invested(a_day_file(TWO, hours={"opens": "09:00", "closes": "17:00"}), now="2027-06-12T15:20")
    assert refused(day | {"pour_at": "2027-06-13T05:00"}).endswith("The earliest first pour is Sun 13 Jun 21:35.")


def test_a_kiln_is_not_put_on_in_the_past_unless_it_is_noted():
    day = invested(a_day_file(TWO), now="2027-06-13T08:20")
    assert "kiln k1 should have been loaded on Sat 12 Jun 21:25 and it is now Sun 13 Jun 08:20" in refused(day)
    assert "If the kiln is on already, note it first." in refused(day)
    day["kiln_on_at"] = {"k1": "2027-06-12T21:30"}
    plan = plan_of(day)
    assert (step(plan, "kiln_on")["at"], step(plan, "pour")["at"]) == (
        "2027-06-12T21:30:00-06:00", "2027-06-13T10:00:00-06:00",
    )  # fmt: skip
    assert breaches(day, plan) == []


def test_a_kiln_that_went_on_too_late_is_waited_for():
    """On 125 min after 21:25, less the 60 min that the first flask waits anyway: ready at 11:05."""
    day = invested(a_day_file(TWO), now="2027-06-13T08:20", kiln_on_at={"k1": "2027-06-12T23:30"})
    assert "has not soaked before Sun 13 Jun 11:05. The earliest first pour is Sun 13 Jun 11:05." in refused(day)


def test_a_flask_that_is_not_invested_cannot_join_a_kiln_that_is_on():
    day = invested(a_day_file(TWO), labels=["A"], now="2027-06-12T21:00", kiln_on_at={"k1": "2027-06-12T20:30"})
    assert "kiln k1 has been on since Sat 12 Jun 20:30, and flask B is not invested" in refused(day)


def test_on_the_day_a_poured_flask_is_done_and_the_next_is_not():
    # A's metal has left the torch at 10:02: then bronze melts in a fresh crucible.
    day = invested(a_day_file(TWO), now="2027-06-13T10:02", poured=["A"])
    assert breaches(day, plan_of(day)) == []
    assert "The earliest first pour is" in refused(day | {"now": "2027-06-13T10:03"})


def test_waxes_that_are_being_mounted_do_not_stop_a_plan():
    # Mounting takes 60 min and would begin at 18:17 (test_backward): at 18:30 47 are left.
    day = a_day_file(TWO, now="2027-06-12T18:30")
    plan = plan_of(day)
    assert step(plan, "mount")["at"] == step(plan, "hand_in_closes")["at"] == "2027-06-12T18:30:00-06:00"
    assert "Only 47 of the 60 minutes that this takes are left." in step(plan, "mount")["say"]
    assert breaches(day, plan) == []
    assert "Only" not in step(plan_of(day | {"now": "2027-06-12T18:17"}), "mount")["say"]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"invested_at": {"A": "2027-06-12T16:00"}}, "invested_at.A: .* that is after `now`"),
        ({"invested_at": {"Z": "2027-06-12T15:00"}}, "invested_at.Z: there is no such flask among `fixed`"),
        ({"poured": ["Z"]}, r"poured\[0\]: .* it is no flask of `fixed`"),
        ({"poured": ["A", "A"]}, r"poured\[1\]: .* stands twice"),
        ({"kiln_on_at": {"z": "2027-06-12T15:00"}}, "kiln_on_at.z: there is no such kiln"),
        ({"charged_g": {"Z": 50.0}}, "charged_g.Z: there is no such flask among `fixed`"),
        ({"charged_g": {"A": "50"}}, "charged_g.A: .* it must be a number"),
        ({"now": "today"}, "now: .* it is no time of a day"),
    ],
)
def test_wrong_notes_are_refused_at_their_place(wrong, said):
    with pytest.raises(Refused, match=f"^{said}"):
        plan_of(kept(a_day_file(TWO), now="2027-06-12T15:20") | wrong)


@pytest.mark.parametrize("seed", range(6))
def test_no_plan_works_before_now_or_loads_before_the_set(seed):
    """Random days, some flasks invested at random times: the plan keeps to the contract, or says when it could."""
    chance = random.Random(seed)
    day = kept(class_day(100 + seed, chance.randint(2, 8)), [])
    labels = sorted(label for label in day["previous"] if chance.random() < 0.6)
    date = day["pour_at"][:8] + f"{int(day['pour_at'][8:10]) - 1:02d}"
    hour = chance.randint(9, 16)
    day |= {"fixed": labels, "now": f"{date}T{hour:02d}:{chance.randint(30, 59)}"}
    day["invested_at"] = {label: f"{date}T{hour:02d}:{chance.randint(0, 30):02d}" for label in labels}
    for pour in (day["pour_at"], day["pour_at"][:11] + f"{chance.randint(0, 9):02d}:15"):
        now = day | {"pour_at": pour}
        try:
            plan = plan_of(now)
        except Refused as why:
            assert "The earliest first pour is " in str(why)
        else:
            assert breaches(now, plan) == []


def test_nothing_of_melt_and_pour_is_said_of_a_poured_flask():
    """Each 15 g of button and a few grams: under 20 % of the crucible, so "heat gently" holds for what is left."""
    day = invested(a_day_file(TWO), now="2027-06-13T10:02")
    before = plan_of(day | {"now": "2027-06-12T15:20"})
    first, second = before["flasks"]

    def about(plan, flask):
        metal = next(one["name"] for one in day["alloys"] if one["key"] == flask["alloy"])
        words = (f"flask {flask['label'].lower()}'s", metal.lower())
        asked = [one for one in plan["cautions"] if one["when"] in ("melt", "pour")]
        return {one["id"] for one in asked if any(word in one["text"].lower() for word in words)}

    after = plan_of(day | {"poured": [first["label"]]})
    assert "N-08" in about(before, first) and about(after, first) == set()
    assert about(after, second) == about(before, second) >= {"N-08"}
    # All poured: no gate of a pour is left either, but quenching is still to come.
    done = plan_of(day | {"poured": [first["label"], second["label"]]})
    assert not [one for one in done["cautions"] if one["when"] in ("melt", "pour")]
    assert "quench" in {one["when"] for one in done["cautions"]}


def test_a_charge_that_is_no_longer_what_it_was_is_said_with_both_figures():
    day = invested(a_day_file([wax_row("w1")]), now="2027-06-12T15:20")
    charge = plan_of(day)["flasks"][0]["charge_g"]

    def said(charged, **more):
        file = day | {"charged_g": {"A": charged}} | more
        plan = plan_of(file)
        assert breaches(file, plan) == []
        return [one["text"] for one in plan["cautions"] if one["id"] == "charge-changed"]

    assert said(charge) == []
    (text,) = said(charge - 5.5)
    # A button of 10 g for 51 mm, 3.2 g of wax at 0.96 in sterling at 10.36: 34.53 g; 44.53, up to half a gram.
    assert charge == 45.0
    assert text.startswith(
        "Check flask A's metal. It was 39.5 g when the flask was invested. Today's figures make it 45 g."
    )
    assert said(charge - 5.5, poured=["A"], now="2027-06-13T10:04") == []


SEEDS = random.SystemRandom()


def at(moment):
    """An instant as the site writes it: on the class's clock, with its offset, as some times do not come in March."""
    return moment.astimezone(ZoneInfo("America/Denver")).isoformat(timespec="minutes")


@pytest.mark.parametrize("nth", range(20))
def test_any_day_planned_again_at_any_moment_keeps_the_contract(nth):
    """Invested at their mix or a little late, kilns noted on at their time or not, some poured, at any time of it."""
    seed = SEEDS.randrange(10**9)
    chance = random.Random(seed)
    day = kept(class_day(seed, chance.randint(1, 4)), [])
    plan = plan_of(day, 2)
    steps = [(step, dt.datetime.fromisoformat(step["at"]).astimezone(dt.UTC)) for step in plan["steps"]]
    first = dt.datetime.fromisoformat(day["pour_at"]).replace(tzinfo=ZoneInfo(day["timezone"]))
    now = chance.choice([moment for _step, moment in steps] or [first]) + dt.timedelta(minutes=chance.randint(-20, 200))
    mixed = {f: moment for s, moment in steps if s["do"] == "mix" and moment <= now for f in s["flasks"]}
    some = chance.random() < 0.3
    labels = sorted(label for label in mixed if not some or chance.random() < 0.7)
    late = {label: min(now, mixed[label] + dt.timedelta(minutes=chance.randint(0, 25))) for label in labels}
    on = {s["kiln"]: moment for s, moment in steps if s["do"] == "kiln_on" and moment <= now}
    out = {f["label"]: dt.datetime.fromisoformat(f["out_at"]).astimezone(dt.UTC) for f in plan["flasks"]}
    day |= {
        "now": at(now),
        "fixed": labels,
        "invested_at": {label: at(moment) for label, moment in late.items()},
        "kiln_on_at": {kiln: at(moment) for kiln, moment in on.items() if chance.random() < 0.8},
        "poured": [label for label in labels if out[label] <= now and chance.random() < 0.9],
        "charged_g": {
            f["label"]: f["charge_g"] + chance.choice((0, 0, 4.5)) for f in plan["flasks"] if f["label"] in labels
        },
    }
    try:
        again = plan_of(day, 2)
    except Refused as why:
        assert str(why).startswith("pour_at: the first pour on "), f"seed {seed}: {why}"
    else:
        assert breaches(day, again) == [], f"seed {seed}"


SPILL = {"flasks": ["A"], "at": "2027-06-12T15:30", "powder_g": 283, "water_g": 113.2}


def test_a_bowl_that_spilled_is_summed_beside_the_plan_s_and_mixed_after_it():
    day = a_day_file(TWO) | {"now": "2027-06-12T15:40"}
    twice = day | {"spilled": [SPILL, SPILL | {"powder_g": 182, "water_g": 72.8}]}
    without, plan = plan_of(day), plan_of(twice)
    assert breaches(day, without) == breaches(twice, plan) == []
    totals = plan["totals"]
    assert (totals.pop("spilled_powder_g"), totals.pop("spilled_water_g")) == (465, 186.0)  # 283 + 182, 113.2 + 72.8
    assert plan == without, "no other key depends on it"


@pytest.mark.parametrize(
    ("spilled", "says"),
    [
        ({"flasks": []}, "spilled[0].flasks"),
        ({"flasks": ["A", "A"]}, 'spilled[0].flasks[1]: "A" stands here, but it stands twice'),
        ({"flasks": ["a"]}, "a label is 1 to 3 of A-Z and 0-9"),
        ({"at": "2027-06-12T15:41"}, 'spilled[0].at: "2027-06-12T15:41" stands here, but that is after `now`'),
        ({"powder_g": 0}, "spilled[0].powder_g"),
        ({"water_g": -1}, "spilled[0].water_g"),
        ({"powder_g": float("nan")}, "spilled[0].powder_g"),
        ({"who": "Imre"}, "spilled[0].who"),
    ],
)
def test_a_spilled_bowl_that_cannot_be_is_refused_at_its_place(spilled, says):
    assert says in refused(a_day_file(TWO) | {"now": "2027-06-12T15:40", "spilled": [SPILL | spilled]})


def test_the_contract_check_sees_a_spilled_bowl_left_out_or_mixed_before():
    day = a_day_file(TWO) | {"now": "2027-06-12T15:40", "spilled": [SPILL]}
    plan = plan_of(day)
    forged = json.loads(json.dumps(plan))
    del forged["totals"]["spilled_powder_g"]
    assert breaches(day, forged) == ["spilled_powder_g is None, not 283"]
    later = day | {"spilled": [SPILL | {"at": "2027-06-13T09:00"}]}
    assert any("is mixed before its bowl spilled" in one for one in breaches(later, plan))
