"""Laws of whole plans, held against the contract's own text."""

import json
import random
from itertools import pairwise

import pytest

from casting.calc.values.marked_text import heat
from tests.contract import breaches
from tests.days.class_day import HOURS, class_day
from tests.days.day_file import a_day_file, planned, wax_row


@pytest.mark.parametrize(("waxes", "seed"), [(0, 100), (1, 101), (6, 102), (12, 103), (24, 104), (24, 105), (40, 106)])
def test_a_class_day_keeps_every_line_of_the_contract(waxes, seed):
    day = class_day(seed, waxes)
    assert breaches(day, planned(day)) == []


@pytest.mark.parametrize("seed", [107, 108, 109])
def test_a_class_day_with_hours_and_few_hands_keeps_the_contract(seed):
    day = class_day(seed, 18, hours=HOURS)
    day["rules"] = day["rules"] | {"hands": 1, "torches": 2, "sections_may_differ_by": 3, "mix_pattern_kinds": True}
    assert breaches(day, planned(day)) == []


def test_the_order_of_hand_in_does_not_matter():
    day = class_day(100, 16)
    turned = day | {"waxes": random.Random(7).sample(day["waxes"], 16)}
    assert json.dumps(planned(day)) == json.dumps(planned(turned))


def test_a_day_without_waxes_is_a_plan_without_flasks():
    plan = planned(a_day_file([]))
    assert (plan["flasks"], plan["steps"], plan["totals"]["cost"]) == ([], [], 0)


def test_a_fixed_flask_is_poured_and_not_mounted_again():
    day = a_day_file(
        [wax_row("w1"), wax_row("w2")],
        previous={"B": {"size": "64x64", "waxes": ["w1"]}},
        fixed=["B"],
        rules={"hands": 1},
    )
    plan = planned(day)
    kept = next(f for f in plan["flasks"] if f["label"] == "B")
    assert (kept["size"], [w["key"] for w in kept["waxes"]]) == ("64x64", ["w1"])
    mixed = [label for s in plan["steps"] if s["do"] in {"mix", "mount"} for label in s["flasks"]]
    assert "B" not in mixed
    assert breaches(day, plan) == []


def test_the_button_is_counted_once_a_flask():
    plan = planned(a_day_file([wax_row("w1"), wax_row("w2", width_mm=20, depth_mm=6)]))
    # 3.2 / 0.96 x 10.36 = 34.533 each, 69.067 together; 15 % = 10.36 g, so the 51 or 64 mm flask's fixed grams count
    (flask,) = plan["flasks"]
    fixed = {"51x64": 10.0, "64x64": 15.0, "64x76": 15.0}[flask["size"]]
    assert flask["button_g"] == max(10.36, fixed)


def test_the_steps_say_when_each_fall_of_the_kiln_begins():
    # A thin and a heavy section share no flask and no heat of the flask, so the kiln falls twice.
    plan = planned(a_day_file([wax_row("w1", section="thin"), wax_row("w2", section="heavy")]))
    segments = plan["firings"][0]["segments"]
    falls = [(one, other) for one, other in pairwise(segments) if other["to_c"] < one["to_c"]]
    assert len(falls) == 2
    for before, fall in falls:
        to = f"then let it fall to {heat(fall['to_c'])}."
        (step,) = [step for step in plan["steps"] if step["say"].endswith(to)]
        assert step["until"] == before["ends_at"]
    soaks = [step["say"] for step in plan["steps"] if step["do"] == "soak"]
    assert soaks[0].startswith("Hold kiln k1 at ") and soaks[-1].endswith("until it is out.")
