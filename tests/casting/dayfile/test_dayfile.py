"""What a day file says, what the shelf fills in, and how times are read and written."""

from __future__ import annotations

import json
from dataclasses import fields as fields_of
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from casting.calc.values.day_input import Rules
from casting.calc.values.day_plan import (
    Bowl,
    Caution,
    DayPlan,
    FiredSegment,
    FiringPlan,
    FlaskPlan,
    LeftOut,
    Place,
    Proof,
    Step,
    Totals,
)
from casting.calc.values.enums import Aim, Asked, Do, Kind, Level, Reason, Section
from casting.calc.values.errors import Refused
from casting.dayfile import read, write
from tests.casting.example_day import GONE, bare, changed, example, put

WAX = {
    "key": "w1",
    "alloy": "sterling",
    "pattern": "carving-wax",
    "wax_g": 1,
    "width_mm": 20,
    "depth_mm": 5,
    "height_mm": 30,
    "section": "thin",
}


def test_the_example_gives_its_own_values() -> None:
    day = read(changed()).day
    assert day.alloys["sterling"].flask_c[Section.HEAVY] == (399, 482)
    assert day.size("64x64").cover_mm == 15.875
    assert day.wax("w1").wax_g == 3.2
    assert (day.held, day.fixed, day.elevation_m) == ({"w1": "A"}, (), 1609)
    assert day.previous["A"].waxes == ("w1",)
    assert day.missing_prices == ()


def test_a_wax_needs_only_its_required_keys() -> None:
    wax = read(bare(waxes=[WAX])).day.wax("w1")
    assert (wax.student, wax.piece, wax.owner, wax.sprue_g, wax.sprue_pattern) == ("", 1, "school", 0, None)


def test_an_absent_list_is_the_shelf_s() -> None:
    day = read(bare()).day
    assert {"sterling", "fine-silver", "si-bronze", "gold-14k"} <= set(day.alloys)
    assert {"carving-wax", "injection-wax", "print-resin"} <= set(day.patterns)
    assert day.size("64x64").diameter_mm == 63.5
    assert (day.investment.water_per_100, len(day.kilns), len(day.firings)) == (40, 2, 3)
    assert (day.held, day.previous, day.fixed, day.hours, day.elevation_m) == ({}, {}, (), (), 0)


def test_a_list_that_is_given_replaces_the_shelf_s_whole() -> None:
    alloys = example()["alloys"]
    assert set(read(bare(alloys=alloys)).day.alloys) == {"sterling"}
    assert read(bare(kilns=[])).day.kilns == ()


def test_rules_fall_back_key_by_key() -> None:
    rules = read(bare(rules={"hands": 1})).day.rules
    assert (rules.hands, rules.wall_mm, rules.aim) == (1, 6.5, Aim.FEWEST_POURS)


def test_the_shelf_s_rules_are_those_of_the_page() -> None:
    shelf = read(bare()).day.rules
    page = read(changed()).day.rules
    for rule in fields_of(Rules):
        assert getattr(shelf, rule.name) == getattr(page, rule.name)


# by diameter, from the table in casting/PLAN_FILE.md; cover = max(13, diameter / 4), outside = diameter + 4
@pytest.mark.parametrize(
    ("diameter_mm", "hub_mm", "waxes_max", "cover_mm", "outside_mm"),
    [
        (50.8, 19, 2, 13, 54.8),
        (51, 19, 2, 13, 55),
        (51.1, 24, 4, 13, 55.1),
        (63.5, 24, 4, 15.875, 67.5),
        (76.2, 27, 6, 19.05, 80.2),
        (88.9, 32, 7, 22.225, 92.9),
        (101.6, 36, 8, 25.4, 105.6),
        (150, 36, 8, 37.5, 154),
    ],
)
def test_a_size_s_defaults_go_by_its_diameter(diameter_mm, hub_mm, waxes_max, cover_mm, outside_mm):
    sizes = [{"key": "s", "diameter_mm": diameter_mm, "height_mm": 64, "count": 1}]
    (size,) = read(bare(flask_sizes=sizes)).day.flask_sizes
    assert (size.hub_mm, size.waxes_max, size.base_mm, size.rim_mm) == (hub_mm, waxes_max, 10, 3)
    assert (size.cover_mm, size.outside_mm) == pytest.approx((cover_mm, outside_mm))


def test_a_kiln_without_a_gap_keeps_25_mm_from_its_walls() -> None:
    assert read(changed(("kilns[0].wall_gap_mm", GONE))).day.kilns[0].wall_gap_mm == 25


def test_a_specific_gravity_left_out_comes_from_the_parts() -> None:
    # by hand: 100 / (92.5 / 10.50 + 7.5 / 8.96) = 100 / (8.8095 + 0.8371) = 10.366
    alloy = read(changed(("alloys[0].specific_gravity", GONE))).day.alloys["sterling"]
    assert alloy.specific_gravity == pytest.approx(10.366, abs=0.002)


def test_a_part_that_is_not_recorded_is_not_zero() -> None:
    parts = {"Cu": 70, "Zn": None}
    alloy = read(changed(("alloys[0].composition_pct", parts))).day.alloys["sterling"]
    assert alloy.composition_pct == parts


@pytest.mark.parametrize("silver_pct", [92.0, 93.0])
def test_parts_may_add_up_to_half_a_percent_off(silver_pct: float) -> None:
    # 92 + 7.5 = 99.5 and 93 + 7.5 = 100.5, the ends that are allowed
    read(changed(("alloys[0].composition_pct.Ag", silver_pct)))


def test_a_price_left_out_is_the_shelf_s() -> None:
    day = read(changed(("alloys[0].price_per_g", GONE), ("investment.price_per_kg", GONE))).day
    shelf = read(bare()).day
    assert day.alloys["sterling"].price_per_g == shelf.alloys["sterling"].price_per_g
    assert day.investment.price_per_kg == shelf.investment.price_per_kg
    assert day.missing_prices == ()


def test_a_price_that_nobody_knows_is_0_and_named() -> None:
    changes = [("alloys[0].key", "bell-metal"), ("alloys[0].price_per_g", GONE), ("waxes[0].alloy", "bell-metal")]
    day = read(changed(*changes)).day
    assert day.alloys["bell-metal"].price_per_g == 0
    assert day.missing_prices == ("Sterling silver",)


def test_a_metal_that_is_not_offered_must_be_listed() -> None:
    with pytest.raises(Refused, match=r"^waxes\[0\]\.alloy: \"brass\" stands here, .*not offered"):
        read(bare(waxes=[{**WAX, "alloy": "brass"}]))


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("waxes[0].wax_g", 5.85),  # 22 x 8 x 33 mm x 0.96 x 1.05 = 5.854 g
        ("waxes[0].sprue_g", 3.2),
        ("waxes[0].wax_g", 1e-3),
        ("alloys[0].pour_c", 893.1),
        ("alloys[0].solidus_c", 893),
        ("alloys[0].specific_gravity", 7),
        ("alloys[0].specific_gravity", 22),
        ("alloys[0].composition_pct.Pb", 0),
        ("patterns[0].specific_gravity", 2),
        ("investment.water_per_100", 30),
        ("investment.water_per_100", 50),
        ("flask_sizes[0].count", 0),
        ("flask_sizes[0].count", 6.0),
        ("firings[0].segments[2].to_c", 750),
        ("firings[0].segments[1].hold_min", 0),
        ("firings[0].segments[1].to_c", 149),
        ("previous.A.waxes", ["w1", "withdrawn"]),
        ("waxes", []),
    ],
)
def test_what_lies_on_a_limit_is_read(place: str, value: object) -> None:
    day = example() if place != "waxes" else {**example(), "held": {}}
    assert read(json.dumps(put(day, place, value))).day


def test_waxes_are_sorted_by_key_in_any_order_of_hand_in() -> None:
    waxes = [{**WAX, "key": key} for key in ("w3", "w1", "w2")]
    assert [wax.key for wax in read(bare(waxes=waxes)).day.waxes] == ["w1", "w2", "w3"]


def test_a_byte_order_mark_is_no_fault() -> None:
    assert read(b"\xef\xbb\xbf" + bare().encode()) == read(bare())


def test_names_in_any_script_are_read() -> None:
    wax = {**WAX, "student": "Zoë Ångström", "owner": "李"}
    assert read(bare(waxes=[wax])).day.wax("w1").owner == "李"


# Clocks in Denver: forward at 02:00 on 14 March 2027 (second Sunday), back at 02:00 on 7 November 2027 (first).
def test_a_time_that_does_not_exist_is_refused_naming_both_neighbours() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(pour_at="2027-03-14T02:30"))
    assert "2027-03-14T01:30-07:00 or 2027-03-14T03:30-06:00" in str(refused.value)


def test_a_time_that_happens_twice_is_refused_naming_both() -> None:
    with pytest.raises(Refused) as refused:
        read(bare(pour_at="2027-11-07T01:30"))
    assert "2027-11-07T01:30-06:00 or 2027-11-07T01:30-07:00" in str(refused.value)


@pytest.mark.parametrize(
    ("typed", "instant"),
    [
        ("2027-03-14T10:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T10:00-06:00", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-03-14T16:00Z", datetime(2027, 3, 14, 16, 0, tzinfo=UTC)),
        ("2027-11-07T01:30-06:00", datetime(2027, 11, 7, 7, 30, tzinfo=UTC)),
        ("2027-11-07T01:30-07:00", datetime(2027, 11, 7, 8, 30, tzinfo=UTC)),
        ("2001-07-01T09:00", datetime(2001, 7, 1, 15, 0, tzinfo=UTC)),  # a pour long past is planned
    ],
)
def test_the_first_pour_is_an_instant(typed: str, instant: datetime) -> None:
    assert read(bare(pour_at=typed)).pour_at.astimezone(UTC) == instant


def test_hours_are_minutes_from_the_pour_over_a_change_of_clocks() -> None:
    hours = {"opens": "09:00", "closes": "18:30", "hand_in_until": "13:30"}
    days = read(bare(hours=hours)).day.hours
    # The pour is at 10:00 MDT = 16:00 UTC on the 14th. That day opens at 09:00 MDT, 60 min before it; the day
    # before opened at 09:00 MST = 16:00 UTC on the 13th, 24 h before it, and closed at 18:30 MST = 01:30 UTC,
    # 14 h 30 min before it; hand-in closed at 13:30 MST = 20:30 UTC, 19 h 30 min before it.
    assert len(days) == 10
    assert (days[8].opens, days[8].closes, days[8].hand_in_until) == (-60, 510, 210)
    assert (days[7].opens, days[7].closes, days[7].hand_in_until) == (-1440, -870, -1170)
    # Midnight of the 14th was at 00:00 MST = 07:00 UTC, 9 h before the pour.
    assert days[8].midnight == -540


def test_hours_without_hand_in_until_leave_it_open() -> None:
    days = read(bare(hours={"opens": "09:00", "closes": "18:30"})).day.hours
    assert {day.hand_in_until for day in days} == {None}


def plan() -> DayPlan:
    """A plan with one flask; its figures are the example's."""
    flask = FlaskPlan(
        label="A",
        size="64x64",
        alloy="sterling",
        owner="school",
        section=Section.MEDIUM,
        kind=Kind.WAX,
        places={"w1": Place(-0.0, -0.0001, 0.0)},
        metal_g={"w1": 34.53333},
        wax_metal_g=34.53333,
        button_g=15.0,
        charge_g=0.1 * 500 + 1e-12,
        powder_g=283,
        water_g=113.2000001,
        flask_c=538,
        pour_c=970.0,
        kiln="k1",
        kiln_x_mm=60.00049,
        kiln_y_mm=60.0,
        out_at=0,
        quench_at=15,
    )
    segment = FiredSegment(167.0, 149.0, 120, -700, -600, -480, False)
    return DayPlan(
        flasks=(flask,),
        bowls=(Bowl(("A",), 283, 113.2),),
        left_out=(
            LeftOut("w9", Reason.TOO_TALL, "58 mm tall.", None),
            LeftOut("w8", Reason.TOO_WIDE, "90 mm wide.", "turn it"),
        ),
        totals=Totals(1, 283, 113.2, {"sterling": 50.0}, 2.782),
        proof=Proof(0, 0, 1, 2.782, True, True, "One flask is needed."),
        firings=(FiringPlan("k1", "6h", -700, (segment,)),),
        steps=(Step(-700, -600, Do.RAMP, ("A",), "k1", "Ramp to 149 C."),),
        cautions=(Caution("C-1", Level.WARN, Asked.PLAN, "Look.", "common practice"),),
        moved=("w3", "w2"),
    )


def written(pour_at: str = "2027-03-14T10:00", **more: Any) -> dict[str, Any]:
    """The plan file of that plan, as values."""
    file: dict[str, Any] = json.loads(write(replace(plan(), **more), read(changed(("pour_at", pour_at)))))
    return file


def test_a_plan_file_has_the_keys_of_the_page_in_their_order() -> None:
    file = written()
    assert list(file) == [
        *("format", "flasks", "bowls", "left_out", "totals", "proof", "firings", "steps", "cautions", "moved"),
    ]
    assert list(file["flasks"][0]) == [
        *("label", "size", "alloy", "owner", "section", "kind", "waxes", "wax_metal_g", "button_g", "charge_g"),
        *("powder_g", "water_g", "flask_c", "pour_c", "kiln", "kiln_x_mm", "kiln_y_mm", "out_at", "quench_at"),
    ]
    assert list(file["steps"][0]) == ["at", "until", "do", "flasks", "kiln", "say"]
    assert list(file["cautions"][0]) == ["id", "level", "when", "text", "basis"]
    assert list(file["totals"]) == ["flasks", "powder_g", "water_g", "charge_g", "cost"]
    assert file["format"] == "casting-plan/1"


def test_figures_are_rounded_as_the_page_says() -> None:
    file = written()
    (flask,) = file["flasks"]
    assert flask["waxes"] == [{"key": "w1", "x_mm": 0.0, "y_mm": 0.0, "turn_deg": 0.0, "metal_g": 34.53}]
    assert (flask["wax_metal_g"], flask["charge_g"], flask["water_g"], flask["kiln_x_mm"]) == (34.53, 50, 113.2, 60)
    assert file["totals"]["cost"] == file["proof"]["cost_at_least"] == 2.78


def test_a_zero_is_never_negative() -> None:
    assert "-0.0" not in write(plan(), read(changed()))


def test_left_out_and_moved_are_sorted_by_key() -> None:
    file = written()
    assert [wax["key"] for wax in file["left_out"]] == ["w8", "w9"]
    assert file["moved"] == ["w2", "w3"]


def test_the_same_plan_gives_the_same_text() -> None:
    assert write(plan(), read(changed())) == write(plan(), read(changed()))


def test_hours_are_added_in_utc_over_the_night_of_the_change() -> None:
    # 10:00 MDT is 16:00 UTC; 700 min before it is 04:20 UTC, 21:20 MST the evening before.
    file = written()
    assert file["flasks"][0]["out_at"] == "2027-03-14T10:00:00-06:00"
    assert file["flasks"][0]["quench_at"] == "2027-03-14T10:15:00-06:00"
    assert file["firings"][0]["on_at"] == "2027-03-13T21:20:00-07:00"


def test_the_hour_that_happens_twice_is_told_by_its_offset() -> None:
    # 10:00 MST is 17:00 UTC; 600 min before it is 07:00 UTC = 01:00 MDT, 540 min before it 08:00 UTC = 01:00 MST.
    step = plan().steps[0]
    file = written("2027-11-07T10:00", steps=(replace(step, at=-600, until=-540),))
    assert (file["steps"][0]["at"], file["steps"][0]["until"]) == (
        "2027-11-07T01:00:00-06:00",
        "2027-11-07T01:00:00-07:00",
    )


def places(value: object, at: str = "") -> list[str]:
    """Every place of a file, the inner ones too."""
    if isinstance(value, dict):
        found = [f"{at}.{key}" if at else str(key) for key in value]
        return found + [deep for key, place in zip(value, found, strict=True) for deep in places(value[key], place)]
    if isinstance(value, list):
        found = [f"{at}[{nth}]" for nth in range(len(value))]
        return found + [deep for item, place in zip(value, found, strict=True) for deep in places(item, place)]
    return []


NESTED = st.recursive(
    st.integers(), lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3)
)
ODD = st.one_of(
    st.just(GONE),
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.sampled_from([0, -1, 1e308, -1e308, 5e-324, 10**30, "", "\x00", "\ud800", "\u202e", "🜚", "9" * 300]),
    st.text(max_size=8),
    NESTED,
)


@settings(max_examples=400, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(places(example())), ODD), min_size=1, max_size=3))
def test_any_change_of_a_good_file_is_read_or_refused_in_one_line(changes: list[tuple[str, object]]) -> None:
    day = example()
    for place, value in changes:
        try:
            put(day, place, value)
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took the place away
    try:
        assert read(json.dumps(day)).day
    except Refused as refused:
        assert len(str(refused).splitlines()) == 1
        assert refused.place in str(refused)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200) | st.text(max_size=200))
def test_any_bytes_and_any_text_are_refused_in_one_line(text: bytes | str) -> None:
    with pytest.raises(Refused) as refused:
        read(text)
    assert len(str(refused.value).splitlines()) == 1
