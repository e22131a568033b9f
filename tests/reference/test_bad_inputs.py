"""Wrong entries that concern the day file: what is refused, what is read with a caution.

The rows left out are about other entries: units as typed, printed charts and sums, rings, marks, the balance
after the pour, the clock of one mix, and outliers of density that a day file cannot know to be wrong.
"""

from __future__ import annotations

import json

import pytest

from casting.calc.plan_day import plan_day
from casting.calc.values.enums import Level
from casting.calc.values.errors import Refused
from casting.dayfile import read
from tests.days.example_file import GONE, example, put
from tests.reference.rows import Row, checks, rows_of

FIRST = "alloys[0]"
TO_C = "firings[0].segments[2].to_c"


def parts(row: Row) -> dict[str, float | None]:
    """The row's composition by the signs of the elements."""
    return {key.removesuffix("_pct"): share for key, share in row.inputs.items()}


def water(row: Row) -> float:
    """The row's water to 100 of powder."""
    unit = "g" if "powder_g" in row.inputs else "parts"
    return float(row.inputs[f"water_{unit}"] * 100 / row.inputs[f"powder_{unit}"])


def segments(row: Row) -> list[dict[str, float]]:
    """The row's firing; the ramp of the example, since the row has none."""
    return [
        {"ramp_c_per_h": 167, "to_c": each["hold_C"], "hold_min": each["hold_h"] * 60}
        for each in row.inputs["segments"]
    ]


def changes_of(row: Row) -> list[tuple[str, object]]:
    """Where the row's entry stands in a day file."""
    entry = row.inputs
    match row.kind:
        case "BI-NUM":
            return [("waxes[0].wax_g", entry["wax_g"])]
        case "BI-RATIO":
            return [("investment.water_per_100", water(row))]
        case "BI-COMP":
            return [(f"{FIRST}.composition_pct", parts(row))]
        case "BI-MELT" if "solidus_C" in entry:
            return [(f"{FIRST}.solidus_c", entry["solidus_C"]), (f"{FIRST}.liquidus_c", entry["liquidus_C"])]
        case "BI-MELT":
            return [(f"{FIRST}.pour_c", entry["cast_C"])]
        case "BI-DENS" if "pattern" in entry:
            return [("patterns[0].specific_gravity", entry["density_g_per_cm3"])]
        case "BI-DENS":
            return [(f"{FIRST}.specific_gravity", entry["density_g_per_cm3"])]
        case "BI-CLOCK":
            return [("hours.opens", entry["start"])]
        case "BI-BURN" if "segments" in entry:
            return [("firings[0].segments", segments(row))]
    return [(TO_C, entry["peak_C"])]


def day_with(row: Row) -> str:
    """The example with the row's entry in it, and nothing held from an earlier plan."""
    day = example()
    for place, value in [("held", {}), ("previous", {}), *changes_of(row)]:
        put(day, place, value)
    return json.dumps(day)


# Where the refusal must point: for most rows, at the value itself.
PLACE_OF = {
    "BI-COMP-005": f"{FIRST}.composition_pct.Pb",
    "BI-MELT-001": f"{FIRST}.solidus_c",
    "BI-BURN-001": "firings[0].segments[1].to_c",
}
# Verdict "stop" in the table, but the day file refuses it outright: lead, and a burnout above every limit.
REFUSED = [
    *("BI-NUM", "BI-RATIO-002", "BI-RATIO-003", "BI-RATIO-004", "BI-RATIO-005", "BI-COMP-001", "BI-COMP-005"),
    *("BI-MELT-001", "BI-MELT-002", "BI-DENS-003", "BI-CLOCK-004", "BI-BURN-001", "BI-BURN-004", "BI-UNIT-001"),
]


@checks("bad_inputs", *REFUSED)
def test_a_wrong_entry_is_refused_at_its_place(row: Row) -> None:
    with pytest.raises(Refused) as refused:
        read(day_with(row))
    assert refused.value.place == PLACE_OF.get(row.id, changes_of(row)[0][0]), row.cited


# The caution that the plan must carry, by the row's verdict (common practice and the rows' own notes).
@pytest.mark.parametrize(
    ("row_id", "caution"),
    [
        ("BI-RATIO-006", "N-11"),
        ("BI-RATIO-007", "N-11"),
        ("BI-RATIO-008", "N-11"),
        ("BI-RATIO-009", "N-11"),
        ("BI-COMP-006", "R-01b"),
        ("BI-MELT-004", "R-12"),
    ],
)
def test_a_doubtful_entry_is_planned_with_its_caution(row_id: str, caution: str) -> None:
    (row,) = [row for row in rows_of("bad_inputs") if row.id == row_id]
    plan = plan_day(read(day_with(row)).day, 1)
    levels = {each.level for each in plan.cautions if each.id.startswith(caution)}
    assert levels == {Level.STOP if row.value == "stop" else Level.WARN}, row.cited


def test_a_metal_that_breaks_the_plaster_down_leaves_its_waxes_out() -> None:
    (row,) = [row for row in rows_of("bad_inputs") if row.id == "BI-MELT-004"]
    plan = plan_day(read(day_with(row)).day, 1)
    assert [(wax.key, wax.reason.value) for wax in plan.left_out] == [("w1", "stopped")]


@checks("bad_inputs", "BI-COMP-002", "BI-DENS-008")
def test_an_odd_entry_inside_the_limits_is_read(row: Row) -> None:
    # 100.50 % is allowed however the sum is rounded; a filled wax of 1.54 lies inside 0.8 to 2
    assert row.value == "warn"
    day = json.loads(day_with(row))
    if row.kind == "BI-COMP":
        put(day, f"{FIRST}.specific_gravity", GONE)
    assert read(json.dumps(day)).day
