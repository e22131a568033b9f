"""What waxes and resins weigh: the shelf's figures inside their ranges, and what floats that is called wax."""

from __future__ import annotations

import json

import pytest

from casting.calc.plan_day import plan_day
from casting.dayfile import read
from tests.days.example_file import example
from tests.reference.rows import Row, checks
from tests.reference.values import shelf

CM3_PER_IN3 = 2.54**3
SHELF = {row["key"]: row["specific_gravity"] for row in shelf()["patterns"]}


def asked_of(specific_gravity: float, kind: str = "wax") -> bool:
    """Whether a plan asks about a wax of that specific gravity, by way of the day file."""
    day = example() | {"held": {}, "previous": {}}
    day["patterns"] = [day["patterns"][0] | {"kind": kind, "specific_gravity": specific_gravity}]
    read_day = read(json.dumps(day)).day
    assert read_day.patterns["carving-wax"].specific_gravity == specific_gravity
    return "wax-sinks" in {caution.id for caution in plan_day(read_day, 1).cautions}


@checks("patterns", "PT-RHO-001", "PT-RHO-002")
@pytest.mark.parametrize("key", ["carving-wax", "injection-wax"])
def test_both_waxes_of_the_shelf_lie_in_the_range_of_wax(row: Row, key: str):
    # source: O. Untracht, Jewelry Concepts and Technology (as reported second hand); common practice
    row.check(SHELF[key])


@checks("patterns", "PT-RHO-004", "PT-DEF-001")
def test_carving_wax(row: Row):
    # from memory, not seen (maker sheets), as a band; the default is common practice
    row.check(SHELF["carving-wax"])


@checks("patterns", "PT-RHO-005")
def test_injection_wax(row: Row):
    # from memory, not seen (maker sheets), as a band
    row.check(SHELF["injection-wax"])


@checks("patterns", "PT-RHO-011", "PT-DEF-002")
def test_resin(row: Row):
    # from memory, not seen (maker sheets), as a band; the default is common practice
    row.check(SHELF["print-resin"])


@checks("patterns", "PT-RHO-006", "PT-RHO-007", "PT-RHO-008")
def test_other_plain_waxes_float_and_are_not_asked_about(row: Row):
    # from memory, not seen, as bands: both ends of each
    low, dots, high = row.value.partition("..")
    assert not asked_of(float(low)) and not asked_of(float(high if dots else low))


@checks("patterns", "PT-RHO-009")
def test_water_soluble_wax_is_read_and_asked_about(row: Row):
    # from memory, not seen: "sinks"
    assert all(asked_of(float(end)) for end in row.value.split(".."))


@checks("patterns", "PT-FLOAT")
def test_a_wax_that_sinks_is_asked_about_and_one_that_floats_is_not(row: Row):
    # computed: density of water 0.9978 g/cm3
    assert asked_of(row.inputs["density_g_per_cm3"]) == (row.value == "sinks")


@checks("patterns", "PT-MEAS-001")
def test_a_measured_density_stands_in_place_of_the_shelf_s(row: Row):
    # computed: arithmetic
    measured = row.inputs["mass_g"] / row.inputs["volume_cm3"]
    row.check(measured)
    assert not asked_of(measured, kind="resin")


@checks("patterns", "PT-MEAS-002")
def test_a_wax_measured_by_the_cube_that_sinks_is_asked_about(row: Row):
    # common practice: filled machinable wax or an error; ask before use
    measured = row.inputs["mass_g"] / (row.inputs["volume_in3"] * CM3_PER_IN3)
    row.check(measured)
    assert asked_of(measured)
