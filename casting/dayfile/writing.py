"""Writer of plan files: a `DayPlan` as JSON text."""

from __future__ import annotations

import json
from collections.abc import Callable

from casting.calc.values.day_plan import (
    Bowl,
    DayPlan,
    FiringPlan,
    FlaskPlan,
    LeftOut,
    Place,
    Proof,
    Step,
    Totals,
    TreePlace,
)
from casting.calc.values.sentence import to_json
from casting.dayfile.reading import Day
from casting.dayfile.times import show

FORMAT = "casting-plan/1"

Shown = dict[str, object]
Clock = Callable[[int], str]


def write(plan: DayPlan, day: Day) -> str:
    """Return the plan file of a plan: the same plan gives the same text.

    Parameters
    ----------
    plan : DayPlan
        The plan, its times in minutes from the first pour.
    day : Day
        The day it was made for, for its times and zone.

    Returns
    -------
    str
        JSON, one row of each list a line, with a line end.
    """

    def clock(minutes: int) -> str:
        return show(day.pour_at, minutes, day.zone)

    return lay_out(
        {
            "format": FORMAT,
            "flasks": [_flask(flask, clock) for flask in plan.flasks],
            "bowls": [_bowl(bowl) for bowl in plan.bowls],
            "left_out": [_left_out(wax) for wax in sorted(plan.left_out, key=lambda wax: wax.key)],
            "totals": _totals(plan, clock),
            "proof": _proof(plan.proof),
            "firings": [_firing(firing, clock) for firing in plan.firings],
            "steps": [_step(step, clock) for step in plan.steps],
            "cautions": [
                {
                    "id": caution.id,
                    "level": str(caution.level),
                    "when": str(caution.when),
                    "text": caution.text,
                    "basis": caution.basis,
                    **_said(text=caution.text),
                }
                for caution in plan.cautions
            ],
            "moved": sorted(plan.moved),
        }
    )


def lay_out(plan: Shown) -> str:
    """Return the text of a plan file, one row of each list a line, so that two can be compared."""

    def rows(value: object) -> str:
        if isinstance(value, list) and value and isinstance(value[0], dict):
            return "[\n  " + ",\n  ".join(_json(row) for row in value) + "\n ]"
        return _json(value)

    return "{\n " + ",\n ".join(f"{_json(key)}: {rows(value)}" for key, value in plan.items()) + "\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, allow_nan=False)


def _to(value: float, places: int) -> float:
    """Return a figure as printed; a zero is never negative."""
    return round(float(value), places) + 0.0


def _as_given(value: float) -> float | int:
    """Return a figure as people write it: a whole one without a point."""
    return int(value) if value == int(value) else _to(value, 6)


def _flask(flask: FlaskPlan, clock: Clock) -> Shown:
    return {
        "label": flask.label,
        "size": flask.size,
        "alloy": flask.alloy,
        "owner": flask.owner,
        "section": str(flask.section),
        "kind": str(flask.kind),
        **({"by_hand": True} if flask.by_hand else {}),
        "waxes": [
            {"key": key, **_place(at), "metal_g": _to(flask.metal_g[key], 2), **_hand(flask, key)}
            for key, at in sorted(flask.places.items())
        ],
        "wax_metal_g": _to(flask.wax_metal_g, 2),
        **({} if flask.trunk_g is None else {"trunk_g": _to(flask.trunk_g, 2)}),
        "button_g": _to(flask.button_g, 2),
        "charge_g": _to(flask.charge_g, 6),
        "powder_g": int(flask.powder_g),
        "water_g": _to(flask.water_g, 1),
        "flask_c": int(flask.flask_c),
        "pour_c": _as_given(flask.pour_c),
        "kiln": flask.kiln,
        "kiln_x_mm": _to(flask.kiln_x_mm, 3),
        "kiln_y_mm": _to(flask.kiln_y_mm, 3),
        "out_at": clock(flask.out_at),
        "quench_at": clock(flask.quench_at),
    }


def _hand(flask: FlaskPlan, key: str) -> Shown:
    """What was done by hand with a wax: its spot was given, and its reach overruled."""
    hand: Shown = {"by_hand": True} if key in flask.spots_by_hand else {}
    if key in flask.beyond_reach:
        beyond_mm, reason = flask.beyond_reach[key]
        hand |= {"beyond_reach_mm": _to(beyond_mm, 1), "reach_reason": reason}
    return hand


def _place(at: Place) -> Shown:
    place: Shown = {"x_mm": _to(at.x_mm, 3), "y_mm": _to(at.y_mm, 3), "turn_deg": _to(at.turn_deg, 3)}
    return place | {"z_mm": _to(at.z_mm, 3), "tier": at.tier} if isinstance(at, TreePlace) else place


def _bowl(bowl: Bowl) -> Shown:
    return {"flasks": list(bowl.flasks), "powder_g": int(bowl.powder_g), "water_g": _to(bowl.water_g, 1)}


def _left_out(wax: LeftOut) -> Shown:
    return {"key": wax.key, "reason": str(wax.reason), "detail": wax.detail, "cure": wax.cure} | _said(
        detail=wax.detail, cure=wax.cure or ""
    )


def _totals(plan: DayPlan, clock: Clock) -> Shown:
    """The sums; that of the water is of the bowls as they are written, so that it can be added up by hand."""
    totals = plan.totals
    return {
        "flasks": totals.flasks,
        "powder_g": int(totals.powder_g),
        "water_g": _to(sum(_to(bowl.water_g, 1) for bowl in plan.bowls), 1),
        "charge_g": {alloy: _to(charge, 6) for alloy, charge in sorted(totals.charge_g.items())},
        "cost": _to(totals.cost, 2),
        "last_pour_at": None if totals.last_pour_at is None else clock(totals.last_pour_at),
    } | (_spilled(totals) if totals.spilled_powder_g else {})


def _spilled(totals: Totals) -> Shown:
    """What bowls that spilled held, beside the powder and water of those to be mixed."""
    return {
        "spilled_powder_g": _to(totals.spilled_powder_g, 6),
        "spilled_water_g": _to(totals.spilled_water_g, 1),
    }


def _proof(proof: Proof) -> Shown:
    return {
        "left_out_at_least": proof.left_out_at_least,
        "first_left_out_at_least": proof.first_left_out_at_least,
        "flasks_at_least": proof.flasks_at_least,
        "cost_at_least": _to(proof.cost_at_least, 2),
        "flasks_proved": proof.flasks_proved,
        "proved": proof.proved,
        "why": proof.why,
        **({"as_placed": list(proof.as_placed)} if proof.as_placed else {}),
        **_said(why=proof.why),
    }


def _firing(firing: FiringPlan, clock: Clock) -> Shown:
    return {
        "kiln": firing.kiln,
        "firing": firing.firing,
        "on_at": clock(firing.on_at),
        "segments": [
            {
                "ramp_c_per_h": _as_given(segment.ramp_c_per_h),
                "to_c": _as_given(segment.to_c),
                "hold_min": int(segment.hold_min),
                "starts_at": clock(segment.starts_at),
                "reached_at": clock(segment.reached_at),
                "ends_at": clock(segment.ends_at),
            }
            for segment in firing.segments
        ],
    }


def _step(step: Step, clock: Clock) -> Shown:
    return {
        "at": clock(step.at),
        "until": clock(step.until),
        "do": str(step.do),
        "flasks": list(step.flasks),
        "kiln": step.kiln,
        "say": step.say,
        **_said(say=step.say),
    }


def _said(**sentences: str) -> Shown:
    """What the sentences of a row are made of, for a reader who words them in another language."""
    said = {key: made_of for key, sentence in sentences.items() if (made_of := to_json(sentence)) is not None}
    return {"said": said} if said else {}
