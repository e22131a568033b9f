"""What one large or resin flask costs everybody, in hours; nothing where all are alike or nobody gains."""

from __future__ import annotations

from datetime import datetime

from tests.contract import breaches
from tests.days.class_day import FIRINGS, KILNS
from tests.days.day_file import a_day_file, planned, step, wax_row

PLAIN, RESIN = wax_row("w1"), wax_row("w2", pattern="print-resin", wax_g=3.4)


def said(plan):
    return [one["text"] for one in plan["cautions"] if one["id"] == "slow-flask"]


def at(plan, do):
    return datetime.fromisoformat(step(plan, do)["at"])


def test_one_resin_flask_puts_all_on_the_longer_firing_and_that_is_told_in_hours():
    day = a_day_file([PLAIN, RESIN])
    plan, without = planned(day), planned(a_day_file([PLAIN]))
    # The longer firing holds 60 min more at 371 C and 60 more at 732 C. Mixing and mounting, at its least either way,
    # move with it: hand-in 16:17 becomes 18:17.
    (text,) = said(plan)
    assert text == (
        "Ask whether flask B (50.8 × 63.5\u2060 mm, resin) can wait for another day. Because of it, "
        "every flask in kiln k1 gets the firing for flasks up to 90 x 103 mm. "
        "Without it, kiln k1 would go on 2 h later and hand-in would close "
        "Sat 18:17, not Sat 16:17."
    )
    (level,) = {one["level"] for one in plan["cautions"] if one["id"] == "slow-flask"}
    assert level == "SAY" and breaches(day, plan) == []
    # What it says is what a day without that wax is planned for.
    assert (at(without, "kiln_on") - at(plan, "kiln_on")).total_seconds() == 2 * 3600
    assert at(without, "hand_in_closes").strftime("%a %H:%M") == "Sat 18:17"


def test_one_large_flask_is_told_with_its_size():
    # 63 mm of wax stand only in the 102 mm flask, of another metal than the ring. Its firing holds 120 min longer.
    plan = planned(a_day_file([PLAIN, wax_row("w2", height_mm=63.0, alloy="si-bronze")]))
    (text,) = said(plan)
    assert "flask B (88.9 × 101.6\u2060 mm) can wait" in text and "kiln k1 would go on 2 h later" in text


def test_flasks_that_are_all_alike_say_nothing():
    for waxes in ([PLAIN, wax_row("w2", alloy="si-bronze")], [RESIN, RESIN | {"key": "w3", "alloy": "si-bronze"}]):
        assert not said(planned(a_day_file(waxes)))


def test_less_than_half_an_hour_says_nothing_and_half_an_hour_is_told():
    def with_top_hold(hold_min):
        longer = [*FIRINGS[0]["segments"][:2], FIRINGS[0]["segments"][2] | {"hold_min": hold_min}]
        return planned(a_day_file([PLAIN, RESIN], firings=[FIRINGS[0], FIRINGS[1] | {"segments": longer}]))

    # The wax firing holds its top for 120 min.
    assert not said(with_top_hold(149))
    assert "would go on 30 min later" in said(with_top_hold(150))[0]


def test_a_kiln_of_its_own_costs_the_others_nothing():
    """The wax firing first in its list, resin in the second kiln: all in k1 are as they would be."""
    day = a_day_file([PLAIN, RESIN], kilns=KILNS)
    low = {"height_mm": 60 + 63.5}
    day["kilns"] = [KILNS[0], KILNS[0] | {"key": "k2"} | low]
    plan = planned(day | {"firings": [FIRINGS[0], FIRINGS[1] | {"kinds": ["resin"]}]})
    assert len({flask["kiln"] for flask in plan["flasks"]}) == 2 and not said(plan)


def test_two_are_told_as_two():
    bronze = RESIN | {"key": "w3", "alloy": "si-bronze"}
    (text,) = said(planned(a_day_file([PLAIN, RESIN, bronze])))
    assert (
        text.startswith("Ask whether flasks ")
        and " and " in text.partition("can wait")[0]
        and "Without them, kiln" in text
    )


def test_an_invested_flask_is_there_and_nothing_is_said():
    day = a_day_file([PLAIN, RESIN])
    plan = planned(day)
    place = ("size", "kiln", "kiln_x_mm", "kiln_y_mm")
    before = {f["label"]: {k: f[k] for k in place} | {"waxes": [w["key"] for w in f["waxes"]]} for f in plan["flasks"]}
    assert not said(planned(day | {"previous": before, "fixed": ["B"]}))
    assert said(planned(day | {"previous": before, "fixed": ["A"]}))
