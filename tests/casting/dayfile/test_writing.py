"""The text of a plan file: its keys, rounding, order and times."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

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
from casting.calc.values.enums import Asked, Do, Kind, Level, Reason, Section
from casting.dayfile import read, write
from tests.days.example_file import changed


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
    assert list(file["totals"]) == ["flasks", "powder_g", "water_g", "charge_g", "cost", "last_pour_at"]
    assert file["format"] == "casting-plan/1"


def test_figures_are_rounded_as_the_page_says() -> None:
    file = written()
    (flask,) = file["flasks"]
    assert flask["waxes"] == [{"key": "w1", "x_mm": 0.0, "y_mm": 0.0, "turn_deg": 0.0, "metal_g": 34.53}]
    assert (flask["wax_metal_g"], flask["charge_g"], flask["water_g"], flask["kiln_x_mm"]) == (34.53, 50, 113.2, 60)
    assert file["totals"]["cost"] == file["proof"]["cost_at_least"] == 2.78


def test_the_water_of_all_bowls_is_the_sum_of_what_is_written() -> None:
    # 47 g to 100 g of powder: 179 g take 84.13 g, written 84.1; twice that is 168.2, though 2 x 84.13 is 168.26.
    bowls = (Bowl(("A",), 179, 84.13), Bowl(("B",), 179, 84.13))
    file = written(bowls=bowls, totals=Totals(2, 358, 168.26, {"sterling": 50.0}, 2.782))
    assert file["totals"]["water_g"] == 168.2 == round(sum(bowl["water_g"] for bowl in file["bowls"]), 1)


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
