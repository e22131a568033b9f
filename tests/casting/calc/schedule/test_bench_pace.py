"""A bench that cannot keep up: by how much, what helps, and days on which it can; worked by hand."""

from __future__ import annotations

from datetime import datetime, timedelta

from tests.contract import breaches
from tests.days.class_day import SIZES
from tests.days.day_file import a_day_file, planned, wax_row

WEAK = {"melt_w": 50}
"""45 g of sterling, 376.1 J/g, at 50 W: 5.64 min, with 3 of setting up 8.64, so 9 min; 11.64, so 12 in a cold cup."""


def class_of(count, **changes):
    """A day of as many 51 x 64 flasks of 45 g of sterling, each somebody's own metal."""
    waxes = [wax_row(f"w{n}", owner=f"Ada {n}", student=f"Ada {n}") for n in range(count)]
    return a_day_file(waxes, flask_sizes=[SIZES[0] | {"count": 8}], **changes)


def outs(plan):
    """Minutes from the first pour to each."""
    at = [datetime.fromisoformat(flask["out_at"]) for flask in plan["flasks"]]
    return [(one - at[0]) // timedelta(minutes=1) for one in at]


def said(plan, rule):
    return [one["text"] for one in plan["cautions"] if one["id"] == rule]


def test_a_weak_torch_stretches_the_pours_and_is_told_with_what_helps():
    day = class_of(7, rules=WEAK)
    plan = planned(day)
    # Free 2 min after each flask is out, then 9: every 11 min, where the pitch asks 8. 6 x 3 = 18 min later.
    assert outs(plan) == [0, 11, 22, 33, 44, 55, 66]
    # Two torches: each melts every second flask and has 16 min for 2 + 9.
    (text,) = said(plan, "bench-slow")
    assert text == (
        "Use one more torch, which saves 18 minutes: the bench cannot keep up. Melting puts the last pour 18 minutes "
        "later. Flask A's melt takes 12 minutes; pours are planned 8 minutes apart."
    )
    assert plan["totals"]["last_pour_at"] == "2027-06-13T11:06:00-06:00"
    assert breaches(day, plan) == []


def test_with_the_torch_that_was_told_the_pours_keep_their_pitch():
    day = class_of(7, rules=WEAK | {"torches": 2})
    plan = planned(day)
    assert outs(plan) == [0, 8, 16, 24, 32, 40, 48]
    assert not said(plan, "bench-slow")
    assert breaches(day, plan) == []


def test_fifteen_minutes_are_not_told():
    # 5 x 3 = 15
    plan = planned(class_of(6, rules=WEAK))
    assert outs(plan)[-1] == 55
    assert not said(plan, "bench-slow")


def test_a_day_that_keeps_its_pitch_is_not_told():
    # At 400 W 45 g take 0.71 min: 4 min, and 2 + 4 are under 8.
    day = class_of(7)
    plan = planned(day)
    assert outs(plan) == [0, 8, 16, 24, 32, 40, 48]
    assert not said(plan, "bench-slow") and not said(plan, "bench-past-closing")
    assert breaches(day, plan) == []


def test_a_second_torch_without_hands_for_it_changes_nothing():
    day = class_of(7, rules=WEAK | {"torches": 2, "hands": 1})
    plan = planned(day)
    assert outs(plan)[-1] == 66
    assert "one more torch and hands for it, which saves 18 minutes" in said(plan, "bench-slow")[0]
    assert breaches(day, plan) == []


def test_cups_that_are_changed_are_told():
    # Two metals that take turns by temperature: 593, 593, 538, 538, 440, 440 C with a fall between, so the second of
    # each pair waits for its cup alone: 2 + 3 + 15 and the heat, 45 g of sterling 0.71 min, 36.5 g of bronze 1.14 min.
    pairs = [
        wax_row(f"{metal}{nth}", alloy=metal, section=section)
        for nth, section in enumerate(("thin", "medium", "heavy"))
        for metal in ("sterling", "si-bronze")
    ]
    plan = planned(a_day_file(pairs, rules={"cup_change_min": 15, "sections_may_differ_by": 0}))
    (text,) = said(plan, "bench-slow") or [""]
    assert "a hot crucible ready for each melt, which saves" in text


def test_nothing_saves_time_where_one_flask_has_all_the_melting():
    """A melter of 40 min and one more flask than torches: one more torch, and nothing else, helps."""
    plan = planned(class_of(2, rules={"melter_min": 40, "cup_change_min": 0}))
    # 2 + 40, where the pitch asks 8: 34 later
    assert outs(plan) == [0, 42]
    (text,) = said(plan, "bench-slow")
    assert text.startswith("Use one more torch, which saves 34 minutes: ")


def test_a_last_pour_after_closing_is_told_if_melting_makes_it_late():
    hours = {"opens": "08:00", "closes": "11:00"}
    plan = planned(class_of(7, rules=WEAK, hours=hours))
    # out at 11:06, poured by 11:11
    (text,) = said(plan, "bench-past-closing")
    assert text == (
        "Pour earlier, or use one more torch, which saves 18 minutes. The last pour ends 11 minutes after the studio "
        "closes. Melting makes it 18 minutes later."
    )
    assert not said(planned(class_of(7, rules=WEAK, hours=hours | {"closes": "11:11"})), "bench-past-closing")


def test_a_plan_without_a_flask_has_no_pace_and_no_last_pour():
    plan = planned(a_day_file([]))
    assert plan["totals"]["last_pour_at"] is None
    assert not said(plan, "bench-slow")
