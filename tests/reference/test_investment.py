"""Powder and water, from first principles done apart from the code (water at 22 C, volumes add)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from casting.calc.quantities.alloy import specific_gravity
from casting.calc.quantities.bowls import flasks_in_time
from casting.calc.quantities.investment import (
    WATER_G_PER_ML,
    powder_bare,
    powder_for,
    slurry_ml,
    slurry_ml_per_g,
    water_for,
)
from casting.calc.schedule.backward import mix_back
from casting.calc.values.day_input import FlaskSize
from casting.calc.values.day_plan import Bowl
from casting.dayfile.rules_file import rulebook
from tests.days.day_input import a_day
from tests.reference.rows import Row, checks, rows_of
from tests.reference.values import G_PER_LB, MM_PER_IN, flask, investment, shelf

ML_PER_IN3 = MM_PER_IN**3 / 1000
SUM_ITSELF = 0.001
"""The rows' 2 % is for unlike powders; they say that the sum itself must agree to 0.1 %."""


def flask_of(row: Row) -> FlaskSize:
    """The row's flask, given in inches or in mm."""
    given = row.inputs
    if "D_mm" in given:
        return flask(given["D_mm"] / MM_PER_IN, given["H_mm"] / MM_PER_IN)
    return flask(given["D_in"], given["H_in"])


def agrees(got: float, row: Row) -> bool:
    return abs(got - float(row.value)) <= SUM_ITSELF * abs(float(row.value))


@checks("investment", "IN-NET")
def test_powder_that_just_fills_a_flask(row: Row):
    # computed: first principles; the row's 3 % covers unlike powder, the sum itself must be nearer
    given = row.inputs
    powder = investment(given["water_g_per_100g"], given["powder_g_per_cm3"], given["allowance_pct"])
    got = powder_bare(flask_of(row), powder)
    row.check(got)
    assert agrees(got, row)


@checks("investment", "IN-DEF")
def test_powder_with_the_allowance_of_the_school(row: Row):
    # computed: first principles
    given = row.inputs
    powder = investment(given["water_g_per_100g"], given["powder_g_per_cm3"], given["allowance_pct"])
    row.check(powder_for(flask_of(row), powder))


@checks("investment", "IN-WAT")
def test_water_of_a_flask_is_weighed_with_its_powder(row: Row):
    # computed: first principles
    given = row.inputs
    powder = investment(given["water_g_per_100g"], given["powder_g_per_cm3"], given["allowance_pct"])
    row.check(water_for(powder_for(flask_of(row), powder), powder))


@checks("investment", "IN-K")
def test_the_short_form(row: Row):
    # computed: first principles; powder g = K D2 H
    given = row.inputs
    row.check(powder_bare(flask_of(row), investment(given["water_g_per_100g"])))


@checks(
    "investment",
    *(row.id for row in rows_of("investment") if row.kind == "IN-YIELD" and "powder_g_per_cm3" in row.inputs),
)
def test_slurry_of_a_gram_of_powder(row: Row):
    # computed: first principles
    powder = investment(row.inputs["water_g_per_100g"], row.inputs["powder_g_per_cm3"])
    got = {
        "slurry_volume_per_100g_powder": slurry_ml(100, powder),
        "slurry_density": (100 + water_for(100, powder)) / slurry_ml(100, powder),
        "powder_per_slurry_volume": 1 / slurry_ml_per_g(powder),
        "powder_per_slurry_volume_in3": ML_PER_IN3 / slurry_ml_per_g(powder),
        "slurry_per_lb_powder": slurry_ml(G_PER_LB, powder) / ML_PER_IN3,
    }[row.quantity]
    row.check(got)
    assert agrees(got, row)


@checks("investment", "IN-YIELD-031")
def test_one_more_gram_of_water_is_one_more_millilitre_of_slurry(row: Row):
    # computed: first principles
    row.check(slurry_ml(100, investment(41)) - slurry_ml(100, investment(40)))


@checks("investment", "IN-YIELD-032", "IN-YIELD-033")
def test_more_water_in_the_same_flask_takes_less_powder(row: Row):
    # computed: first principles
    before, after = investment(row.inputs["from_g_per_100g"]), investment(row.inputs["to_g_per_100g"])
    powder_g = [powder_bare(flask(2.5), before), powder_bare(flask(2.5), after)]
    water_g = [water_for(powder_g[0], before), water_for(powder_g[1], after)]
    was, now = powder_g if row.quantity == "powder_change" else water_g
    row.check((now / was - 1) * 100)


@checks("investment", *(f"IN-ALLOW-00{n}" for n in (1, 2, 3, 5)))
def test_what_casters_used_over_the_bare_flask(row: Row):
    # common practice: printed amounts, the ratio worked out
    given = row.inputs
    bare = powder_bare(flask_of(row), investment(given["water_g_per_100g"]))
    row.check((given["powder_g"] / bare - 1) * 100)


@checks("investment", "IN-ALLOW-007")
def test_the_printed_rule_of_twenty_over_the_bare_flask(row: Row):
    # source: Hoover & Strong, "Hot Mix Investment for High Altitude Casting"
    given = row.inputs
    bare = powder_bare(flask_of(row), investment(given["water_g_per_100g"]))
    row.check((given["K_g_per_in3"] / bare - 1) * 100)


@checks("investment", "IN-ALLOW-009")
def test_water_for_four_pounds_of_powder(row: Row):
    # computed: arithmetic
    given = row.inputs
    row.check(water_for(given["powder_lb"] * G_PER_LB, investment(given["water_g_per_100g"])))


@checks("investment", "IN-POWD-001", "IN-POWD-002", "IN-POWD-003")
def test_volumes_of_minerals_add(row: Row):
    # computed: harmonic mean; mineral densities from memory (2.73, 2.33, 2.648)
    parts = {name.removesuffix("_pct"): share for name, share in row.inputs.items() if share}
    row.check(specific_gravity(parts, {"hemihydrate": 2.73, "cristobalite": 2.33, "quartz": 2.648}))


@checks("water", "WA-ML")
def test_a_millilitre_of_water_on_the_scale(row: Row):
    # computed: IAPWS-95 (CoolProp 8.0.0 and iapws 1.5.5 agree)
    row.check(WATER_G_PER_ML)


@checks(
    "investment",
    "IN-RATIO-003",
    "IN-RATIO-010",
    "IN-ALLOW-008",
    "IN-CLOCK-002",
    "IN-CLOCK-003",
    "IN-CLOCK-014",
    "IN-CLOCK-020",
)
def test_the_powder_of_the_shelf_is_an_ordinary_one(row: Row):
    # source of IN-CLOCK-002: T. McCreight, Practical Casting, ch. 3 (as reported in class notes)
    # the rest: common practice
    kept = shelf()["investment"]
    row.check(
        {
            "water": kept["water_per_100"],
            "allowance_over_bare_cylinder": kept["allowance_pct"],
            "working_time": kept["working_min"],
            "rest": kept["set_min"] / 60,
            "temperature": sum(kept["water_c"]) / 2,
        }[row.quantity]
    )


def test_a_flask_of_no_height_is_an_error_and_not_nothing():
    with pytest.raises(ValueError, match="height"):
        powder_for(flask(2.5, 0), investment())


@checks("investment", "IN-DAY-003", "IN-DAY-006", "IN-SCALE")
def test_a_mix_ends_with_the_school_s_clock_or_sooner(row: Row):
    # common practice for the clock itself; computed: arithmetic, scaled to the measured working time
    if row.id == "IN-DAY-003":
        row.check(rulebook().limit("mix_bowl_min"))
        return
    working_min = row.inputs["working_time_min"]
    day = replace(a_day([]), gloss_off_min=working_min)
    (mix,), _inside = mix_back([Bowl(("A",), 283, 113.2)], {"A": 0}, day)
    length_min = mix.until - mix.at
    assert length_min <= float(row.value) + row.tolerance
    assert working_min - length_min >= 1.5
    # where the rows refuse the batch or cut a step: one flask to a bowl at 8 minutes, a caution at 7
    assert flasks_in_time(day) == {9.5: 2, 8: 1, 7: 0}[working_min]
