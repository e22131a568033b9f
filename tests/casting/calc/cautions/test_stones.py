"""Stones left in a wax: fired low and kept from water, or the wax stays out with its reason."""

import json

import pytest

from casting.calc.cautions.stones import of_stones, of_stones_firing, spares_stones, stones_forbid
from casting.calc.values.enums import Stones
from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.casting.calc.cautions.cases import FIRINGS, STERLING, STONES_FIRING, stones_day
from tests.contract import breaches
from tests.days.day_file import a_day_file, planned, wax_row

UNKNOWN = "It has stones that burnout would ruin, or nobody knows which stones they are."
TALL = "Stones are left in it. They take at most 454\u202f°C, and "


def out_of(day):
    """The reason, detail and cure of the only wax, left out."""
    (left,) = planned(day)["left_out"]
    return left["reason"], left["detail"], left["cure"]


@pytest.mark.parametrize(
    ("day", "detail"),
    [
        (stones_day(stones="other"), UNKNOWN),
        (stones_day(pattern="print-resin"), f"{TALL}a printed resin burns out only above that."),
        (
            stones_day() | {"alloys": [STERLING | {"quench_by_min": 20}]},
            "Stones are left in it. Sterling silver must be quenched soon, and stones crack in the quench.",
        ),
        # sterling of medium thickness is poured from 510 C up (the day's band)
        (
            stones_day() | {"waxes": [wax_row("w1", stones="take_firing")]},
            "Stones are left in it. They are fired to 413\u202f°C, "
            "and its metal asks for a flask at 510\u2007°C or more.",
        ),
        (stones_day() | {"firings": FIRINGS}, f"{TALL}the school has no firing for stones."),
    ],
)
def test_a_wax_whose_stones_would_be_ruined_stays_out_with_its_reason(day, detail):
    assert out_of(day) == ("stones", detail, "set the stones after casting")


def test_a_wax_with_stones_is_fired_low_and_meets_no_water():
    day = stones_day()
    plan = planned(day)
    assert not breaches(day, plan)
    (flask,) = plan["flasks"]
    assert (flask["kind"], plan["firings"][0]["firing"]) == ("stones", "stones")
    # The band of heavy sterling is 399 to 482 C, its middle 440.5. The firing tops at 413; a kiln only falls.
    assert flask["flask_c"] == 413
    assert max(segment["to_c"] for segment in plan["firings"][0]["segments"]) <= 454
    assert "quench" not in {step["do"] for step in plan["steps"]}


def test_plain_waxes_share_neither_flask_nor_firing_with_stones():
    day = stones_day()
    day["waxes"] += [wax_row("w2", section="heavy", wax_g=5.0), wax_row("w3", section="heavy", wax_g=5.0)]
    day["kilns"] = [day["kilns"][0], day["kilns"][0] | {"key": "k2"}]
    day["rules"] = day["rules"] | {"mix_pattern_kinds": True}
    plan = planned(day)
    assert not breaches(day, plan) and not plan["left_out"]
    with_stones = {wax["key"] for flask in plan["flasks"] if flask["kind"] == "stones" for wax in flask["waxes"]}
    assert with_stones == {"w1"}
    assert len({flask["kiln"] for flask in plan["flasks"]}) == 2
    assert "waxes and waxes with stones share no flask" in plan["proof"]["why"]


def test_without_stones_nothing_is_said():
    day = read_day(a_day_file([wax_row("w1")]))
    assert stones_forbid(day.waxes[0], day) is None and day.waxes[0].stones is Stones.NONE
    assert not list(of_stones((), day))


def test_only_a_firing_for_stones_alone_spares_them():
    day = read_day(stones_day())
    assert [spares_stones(firing) for firing in day.firings] == [False, False, False, True]
    assert not list(of_stones_firing(day.firings[3], day.rulebook))


def read_day(day_file):
    return read(json.dumps(day_file)).day


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"segments": [{"ramp_c_per_h": 167, "to_c": 455, "hold_min": 600}]},
            r"455 C is too hot for stones left in wax \(454 C\)\. Follow the powder maker's plan for stones",
        ),
        ({"kinds": ["wax", "stones"]}, "give stones a firing of their own"),
    ],
)
def test_a_firing_for_stones_that_would_ruin_them_is_refused(changes, sentence):
    day = stones_day()
    day["firings"] = [*FIRINGS, STONES_FIRING | changes]
    with pytest.raises(Refused, match=sentence):
        read_day(day)
