"""A stored plan, read for pages and papers."""

from datetime import datetime, timedelta
from decimal import Decimal

import pytest

from casting.calc.values.enums import Do
from casting.dayfile import read
from casting.presenters.plan_reader import plan_sheet_of, read_plan
from casting.presenters.plan_sheet import WaxName
from casting.presenters.sheet_values import MetalLine
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.written_plans import THREE, as_text, band_row, day_with, flask, plan_of_24, plan_of_one, plan_with


def test_the_figures_are_the_plans_own():
    sheet = read_plan(*as_text(*plan_of_one()))
    only = sheet.flask("A")
    assert (only.charge_g, only.powder_g, only.water_g, only.flask_c) == (50.0, 283, 113.2, 538)
    assert sheet.metals == (MetalLine("Sterling silver", 50.0, 0.0, ()),)


def test_the_working_of_a_charge_adds_up():
    only = read_plan(*as_text(*plan_of_one())).flask("A")
    # By hand: 34.53 g of metal; 15 % of it is 5.18 g, less than the 15 g for a 2 1/2 inch flask.
    assert (only.working.metal_g, only.working.button_g, only.working.bare_g) == (
        Decimal("34.53"),
        15,
        Decimal("49.53"),
    )
    assert only.button.share_g == pytest.approx(5.18, abs=0.005)
    assert only.button.by_width_g == pytest.approx(15.0)
    assert not only.button.by_share


def test_a_sprue_of_another_material_is_a_part_of_its_own():
    printed = band_row("w1", wax_g=3.2, sprue_g=0.5, pattern="print-resin", sprue_pattern="carving-wax")
    plan = plan_with([flask("A", [("w1", 0.0, 0.0, 0.0)])])
    parts = read_plan(*as_text(plan, day_with([printed]))).flask("A").waxes[0].parts
    assert [part.part_g for part in parts] == pytest.approx([2.7, 0.5])
    assert parts[1].specific_gravity == 0.96  # carving wax, common practice


def test_clearances_are_those_of_the_layout():
    first = read_plan(*as_text(*plan_of_24())).flask("A")
    # By hand: rectangles of 18 x 6 on feet 14 mm out, a third of a turn apart. The nearest corners,
    # (9, 11) and its mirror in the line at 30 degrees that parts two waxes, are each
    # 11 x cos 30 - 9 x sin 30 = 9.526 - 4.5 = 5.026 mm from it, so 10.052 mm from each other.
    assert first.gap_mm == pytest.approx(10.052, abs=0.001)
    # The farthest corner is (9, 17): 19.235 mm out, 31.75 - 19.235 = 12.515 mm from the wall.
    assert first.to_wall_mm == pytest.approx(12.515, abs=0.001)
    assert len(THREE) == len(first.waxes)


def test_a_wax_alone_has_no_gap():
    assert read_plan(*as_text(*plan_of_one())).flask("A").gap_mm is None


def test_times_keep_the_plans_offset_over_the_clock_change():
    sheet = read_plan(*as_text(*plan_of_24()))
    night = sheet.kilns[0]
    # America/Denver goes from UTC-7 to UTC-6 at 02:00 on 14 March 2027.
    assert night.on_at.utcoffset() == timedelta(hours=-7)
    assert sheet.flasks[0].out_at.utcoffset() == timedelta(hours=-6)
    assert [change.by_min for change in sheet.clock_changes] == [60]


def test_a_kiln_falls_only_to_its_flask_temperature():
    night = read_plan(*as_text(*plan_of_one())).kilns[0]
    assert [segment.cooling for segment in night.segments] == [False, False, False, True]
    assert night.segments[0].from_c == 20


def test_a_bowl_has_the_time_of_its_mix():
    first, *_rest = read_plan(*as_text(*plan_of_24())).bowls
    assert first.flasks == ("A", "B")
    assert f"{first.at:%a %H:%M} {first.until:%H:%M}" == "Sat 17:05 17:13"


def test_a_bowl_mixed_before_has_no_time():
    plan, day = plan_of_one()
    plan["steps"] = [step for step in plan["steps"] if step["do"] != "mix"]
    assert read_plan(*as_text(plan, day)).bowls[0].at is None


def test_names_come_from_whoever_knows_them():
    names = {"w1": WaxName("K7", "Ilse Varga", "leaf ring")}
    sheet = read_plan(*as_text(*plan_of_one()), names)
    assert sheet.flask("A").waxes[0].name.piece == "leaf ring"
    assert sheet.left_out[0].name == WaxName("w9", "student-w9", "")


def test_own_metal_is_told_by_the_students_name():
    plan = plan_with([flask("A", [("w1", 0.0, 0.0, 0.0)]) | {"owner": "student-w1"}])
    day = day_with([band_row("w1", owner="student-w1")])
    names = {"w1": WaxName("K7", "Ilse Varga", "leaf ring")}
    assert read_plan(*as_text(plan, day), names).flask("A").owner == "Ilse Varga"
    assert read_plan(*as_text(*plan_of_one())).flask("A").owner is None


def test_an_invested_flask_has_set_when_that_time_is_over_though_no_kiln_is_noted_on():
    file = a_day_file([wax_row("w1")])
    plan, day = planned(file, effort=1), read(as_text({}, file)[1])
    (until,) = [datetime.fromisoformat(row["until"]) for row in plan["steps"] if row["do"] == "set"]
    for invested, now, done in (
        ({"A": "invested"}, until, ("A",)),
        ({"A": "invested"}, until - timedelta(minutes=1), ()),
        ({}, until, ()),
    ):
        (step,) = plan_sheet_of(plan, day, on_bench=invested, now=now).steps_of(Do.SET)
        assert step.done == done
