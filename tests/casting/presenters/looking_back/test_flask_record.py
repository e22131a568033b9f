"""Minutes by hand from the plan of three bands; nothing that nobody noted is a figure."""

import dataclasses
import datetime as dt
from decimal import Decimal

import pytest

from casting.calc.values.enums import Do, Tick
from casting.models import KilnReading, Plan, SafetyRecord, Transfer
from casting.presenters.looking_back.flask_record import DayRecord
from casting.selectors.account.flasks import BookedFlask
from casting.services.running.noting import note


@pytest.fixture
def plan(planned):
    return Plan.objects.latest_of(planned)


def planned_at(plan, do):
    return next(dt.datetime.fromisoformat(step["at"]) for step in plan.file["steps"] if step["do"] == do)


def test_before_anything_is_noted_the_plan_alone_speaks(plan):
    wax = plan.day.waxes.first()
    figures = DayRecord.of(plan).figures(wax.tag)
    flask = plan.file["flasks"][0]
    # Sterling of medium section: 510 to 566 C (common practice), poured at 970 C, liquid from 893 C.
    assert (figures["flask_c"], figures["flask_least_c"], figures["flask_most_c"]) == (538, 510, 566)
    assert figures["superheat_c"] == 970 - 893
    # A quarter of 63.5 mm is asked over the tallest wax; no plan leaves less than its size's own cover.
    assert figures["cover_mm"] >= figures["cover_asked_mm"] == 63.5 / 4
    assert figures["charge_asked_g"] == flask["charge_g"] and figures["resin"] == 0
    for unknown in ("soak_min", "rest_min", "quench_min", "charge_g", "fresh_pct", "top_c", "pour_gauge_mbar"):
        assert unknown not in figures


def test_minutes_are_those_between_what_was_noted(plan, teacher):
    day, wax = plan.day, plan.day.waxes.first()
    minute = dt.timedelta(minutes=1)
    kiln_on, out = planned_at(plan, Do.KILN_ON), planned_at(plan, Do.POUR)
    note(day, Do.MIX, "A", at=kiln_on - 45 * minute, by=teacher)
    note(day, Do.KILN_ON, "k1", at=kiln_on + 40 * minute, by=teacher)
    note(day, Do.POUR, "A", at=out + 10 * minute, by=teacher)
    note(day, Do.QUENCH, "A", at=out + 14 * minute, by=teacher)
    figures = DayRecord.of(plan).figures(wax.tag)
    # Mixed 45 min before the plan's kiln-on, which came 40 min late: 85 min of rest. Quenched 4 min after the pour.
    assert (figures["rest_min"], figures["quench_min"]) == (85, 4)
    # The kiln 40 min late and the pour 10 min late: 30 min less of soak than the plan's.
    assert figures["soak_min"] == pytest.approx(figures["soak_asked_min"] - 30, abs=2.1)


def test_a_bowl_tells_how_old_its_mix_was_how_long_it_stood_still_and_what_air_was_left(plan, teacher):
    day, wax, at = plan.day, plan.day.waxes.first(), planned_at(plan, Do.MIX)
    minute = dt.timedelta(minutes=1)
    SafetyRecord.objects.filter(school=day.course.school).update(gauge_unit="mbar", gauge_kind="absolute")

    def figures():
        found = DayRecord.of(plan).figures(wax.tag)
        return {name: found.get(name) for name in ("slurry_min", "quiet_min", "mix_gauge_mbar", "slurry_working_min")}

    nothing = {"slurry_min": None, "quiet_min": None, "mix_gauge_mbar": None, "slurry_working_min": 9.5}
    assert figures() == nothing
    note(day, Tick.MIXING, "B", at=at, by=teacher)
    note(day, Do.MIX, "A", at=at + 8 * minute, by=teacher)
    assert figures() == nothing, "another flask's bowl"
    note(day, Tick.MIXING, "A+B", at=at, by=teacher)
    note(day, Tick.GLOSS, "A+B", at=at + 10 * minute, by=teacher, figures={"min": 10})
    note(day, Tick.BELL, "A+B", at=at + 3 * minute, by=teacher, figures={"reading": 80.0})
    assert figures() == {"slurry_min": 8, "quiet_min": 2, "mix_gauge_mbar": None, "slurry_working_min": 9.5}
    note(day, Tick.BELL, "A+B", at=at, by=teacher, figures={"reading": 80.0, "unit": "mbar", "enough": False})
    assert figures()["mix_gauge_mbar"] == 80


def test_water_gauge_at_the_pour_and_sprue_are_what_somebody_measured_and_unknown_else(plan, teacher):
    """By hand: 369 g of water to 900 g of powder are 41 to 100; 30 mbar on an absolute gauge are 30 mbar of air."""
    day, wax, at = plan.day, plan.day.waxes.first(), planned_at(plan, Do.MIX)
    SafetyRecord.objects.filter(school=day.course.school).update(gauge_unit="mbar", gauge_kind="absolute")
    measured = ("water_g_per_100g", "pour_gauge_mbar", "sprue_mm", "sprue_length_mm")
    before = DayRecord.of(plan).figures(wax.tag)
    assert not set(measured) & set(before) and before["water_asked_g_per_100g"] == 40
    # The bowl of an earlier plan, and the one that was mixed for it in the end.
    for what, ago_min, water_g in (("A+B", 9, "300"), ("A", 0, "369")):
        figures = {"water_g": water_g, "powder_g": 900, "asked_g": 360.0}
        note(day, Tick.WATER_G, what, at=at - ago_min * dt.timedelta(minutes=1), by=teacher, figures=figures)
    note(day, Tick.POUR_GAUGE, "A", at=at, by=teacher, figures={"reading": 30.0, "unit": "mbar"})
    note(day, Tick.SPRUE, wax.tag, at=at, by=teacher, figures={"thick_mm": "2.5"})
    found = DayRecord.of(plan).figures(wax.tag)
    assert [found.get(name) for name in measured] == [pytest.approx(41), 30, 2.5, None]


def test_a_flask_out_of_the_kiln_for_long_is_told_where_it_was_ticked(plan, teacher):
    day, wax, out = plan.day, plan.day.waxes.first(), planned_at(plan, Do.POUR)
    note(day, Do.POUR, "A", at=out + dt.timedelta(minutes=4), by=teacher)
    assert "out_min" not in DayRecord.of(plan).figures(wax.tag)
    note(day, Tick.OUT, "A", at=out, by=teacher)
    assert DayRecord.of(plan).figures(wax.tag)["out_min"] == 4


def test_the_top_is_what_was_read_at_the_top(plan, teacher):
    day, wax = plan.day, plan.day.waxes.first()
    top = next(one for one in plan.file["firings"][0]["segments"] if one["to_c"] == 732)
    in_it = dt.datetime.fromisoformat(top["reached_at"]) + dt.timedelta(minutes=20)

    def top_c():
        return DayRecord.of(plan).figures(wax.tag).get("top_c")

    KilnReading.objects.create(day=day, kiln="k1", at=in_it - dt.timedelta(hours=3), celsius=500, by=teacher)
    assert top_c() is None, "a reading on the way up says nothing of the top"
    KilnReading.objects.create(day=day, kiln="k1", at=in_it, celsius=690, by=teacher)
    assert top_c() == 690
    KilnReading.objects.create(day=day, kiln="k1", at=in_it + dt.timedelta(hours=4), celsius=801, by=teacher)
    assert top_c() == 801, "hotter than its top is told whenever it was read"


def test_the_metal_is_what_was_weighed_out(plan, teacher):
    wax = plan.day.waxes.first()
    booked = BookedFlask()
    booked.weights |= {Transfer.What.FRESH: Decimal("50"), Transfer.What.REUSED: Decimal("75")}
    figures = dataclasses.replace(DayRecord.of(plan), booked={"A": booked}).figures(wax.tag)
    assert (figures["charge_g"], figures["fresh_pct"]) == (125, 40)
    own = BookedFlask()
    own.weights |= {Transfer.What.METAL: Decimal("40")}
    figures = dataclasses.replace(DayRecord.of(plan), booked={"A": own}).figures(wax.tag)
    assert figures["charge_g"] == 40 and "fresh_pct" not in figures


def test_the_charge_that_is_asked_for_is_that_of_the_finished_base(plan, teacher):
    wax, at = plan.day.waxes.first(), planned_at(plan, Do.MIX)
    before = DayRecord.of(plan).figures(wax.tag)["charge_asked_g"]
    # 9.6 g on the slips, 10.6 g on the base.
    base = {"gross_g": "30.6", "base_g": "20", "tags": [one["key"] for one in plan.file["flasks"][0]["waxes"]]}
    note(plan.day, "weighed", "A", at=at, by=teacher, figures=base)
    assert DayRecord.of(plan).figures(wax.tag)["charge_asked_g"] > before
