"""The figures of past days that tell how a school really works; one that nobody noted is left out, never guessed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

from casting.calc.kiln.measured_ramp import measured_ramp
from casting.calc.kiln.night_watch import Reading
from casting.calc.quantities.charge import STERLING_SG
from casting.calc.quantities.lookup import by_diameter
from casting.calc.values.day_input import COLD_C
from casting.calc.values.day_plan import FiredSegment
from casting.calc.values.enums import Do, Tick
from casting.calc.values.tolerances import EASE
from casting.dayfile.rules_file import rulebook
from casting.models import CastingDay
from casting.selectors.looking_back.past_days import PastDay, PastFlask

ROUNDED_G = 0.01
"""A button stands in a plan file to the hundredth of a gram."""


@dataclass(frozen=True, slots=True)
class Figure:
    """What came of one flask, kiln or day. `of` is what the figure is a share of or belongs to, in the unit of its use.

    For a button that is a share, `of` are the grams of metal; for a ramp, the degrees climbed.
    """

    value: float
    day: CastingDay
    where: str = ""
    of: float = 1.0


Figures = Mapping[str, Sequence[Figure]]
"""By what they are of: a section, an alloy, a kiln."""


def _kept(found: Iterable[tuple[str, Figure]]) -> Figures:
    kept: dict[str, list[Figure]] = defaultdict(list)
    for key, figure in found:
        kept[key].append(figure)
    return kept


def _apart(days: Iterable[PastDay]) -> Iterator[tuple[PastDay, PastFlask]]:
    """The flasks that filled wholly, with button and sprues weighed each by itself."""
    for day in days:
        for flask in day.flasks:
            metal = flask.booked.metal
            filled = not day.not_filled & {wax.pk for wax in flask.waxes}
            if flask.all_cast and filled and metal.button_g > 0 and metal.sprues_g > 0:
                yield day, flask


def _things(day: PastDay, heading: str) -> dict[str, dict[str, Any]]:
    """The rows of a list of the day's own file, by key."""
    return {row["key"]: row for row in day.plan.day_values[heading]}


def buttons(days: Sequence[PastDay]) -> tuple[Figures, Figures]:
    """Return buttons of flasks that filled: by section as a share [%], and by the width of a row as sterling [g].

    A button counts as a share where the share ruled in its plan, else as the least of its flask's width. It is what was
    weighed out beyond castings and sprues, as a plan reckons it: what the melt loses and what is swept up comes out of
    it. The weighed button alone is less by that, and each default taken from it would be less again.
    """
    shares, least = [], []
    for day, flask in _apart(days):
        rows = day.plan.day_values["rules"]["button_g_by_diameter"]
        sizes, alloys = _things(day, "flask_sizes"), _things(day, "alloys")
        wide_mm = sizes[flask.planned["size"]]["diameter_mm"]
        of_sterling = alloys[flask.planned["alloy"]]["specific_gravity"] / STERLING_SG
        metal = flask.booked.metal
        pieces_g = float(metal.castings_g + metal.sprues_g)
        button_g = float(metal.charge_g) - pieces_g
        if flask.planned["button_g"] > by_diameter(rows, wide_mm) * of_sterling + ROUNDED_G:
            shares.append((flask.planned["section"], Figure(100 * button_g / pieces_g, day.day, flask.label, pieces_g)))
        else:
            row = next((width for width, _grams in rows if width >= wide_mm), rows[-1][0])
            least.append((f"{row:g}", Figure(button_g / of_sterling, day.day, flask.label, of_sterling)))
    return _kept(shares), _kept(least)


def losses(days: Sequence[PastDay]) -> Figures:
    """Return what was lost of the charge of each settled flask whose pieces all came out [%], by alloy."""
    return _kept(
        (flask.planned["alloy"], Figure(float(flask.booked.metal.left_pct), day.day, flask.label))
        for day in days
        for flask in day.flasks
        if flask.all_cast and flask.booked.metal.charge_g > 0
    )


def metal_to_wax(days: Sequence[PastDay]) -> Mapping[tuple[str, str], Sequence[Figure]]:
    """Return the grams of metal for each gram of wax, by alloy and wax material: flasks of one material alone."""
    found: dict[tuple[str, str], list[Figure]] = defaultdict(list)
    for day, flask in _apart(days):
        materials = {wax.material for wax in flask.waxes}
        tree = any("z_mm" in wax for wax in flask.planned["waxes"])  # its trunk is no wax, and is weighed as sprue
        wax_g = sum((wax.wax_g for wax in flask.waxes), Decimal(0))
        if len(materials) > 1 or tree or any(wax.sprue_pattern_id for wax in flask.waxes) or not wax_g:
            continue
        metal = flask.booked.metal
        value = float((metal.castings_g + metal.sprues_g) / wax_g)
        found[flask.planned["alloy"], materials.pop()].append(Figure(value, day.day, flask.label, float(wax_g)))
    return found


def pours(days: Sequence[PastDay]) -> tuple[list[Figure], list[Figure]]:
    """Return the minutes from the kiln to the pour, and from pour to pour where the bench alone set the pace."""
    takes, apart = [], []
    for day in days:
        out, poured = day.done.get(Tick.OUT, {}), day.done.get(Do.POUR, {})
        for label, at in poured.items():
            if label in out and at > out[label]:
                takes.append(Figure(_minutes(at - out[label]), day.day, label))
        pitch_min = day.plan.day_values["rules"]["pitch_min"]
        due = sorted((datetime.fromisoformat(one["out_at"]), one["label"]) for one in day.plan.file["flasks"])
        for (first_due, first), (next_due, label) in pairwise(due):
            close = _minutes(next_due - first_due) <= pitch_min + EASE
            if close and first in poured and label in poured and poured[label] > poured[first]:
                apart.append(Figure(_minutes(poured[label] - poured[first]), day.day, label))
    return takes, apart


def _minutes(span: timedelta) -> float:
    return span.total_seconds() / 60


def kiln_rates(days: Sequence[PastDay]) -> tuple[Figures, Figures]:
    """Return how fast each kiln climbed and fell where the plan asked for all that it can [degrees C an hour], by kiln.

    A slower ramp tells what the controller was set to, and no more.
    """
    climbs: list[tuple[str, Figure]] = []
    falls: list[tuple[str, Figure]] = []
    for day in days:
        kilns, noted = _things(day, "kilns"), day.done.get(Do.KILN_ON, {})
        for firing in day.plan.file["firings"]:
            key = firing["kiln"]
            if key not in noted or key not in day.readings or key not in kilns:
                continue
            readings = [Reading(int(_minutes(at - noted[key])), celsius) for at, celsius in day.readings[key]]
            for from_c, segment in _segments(firing):
                up = segment.to_c > from_c
                most = kilns[key]["max_ramp_c_per_h" if up else "cool_c_per_h"]
                rate = measured_ramp(segment, readings, rulebook()) if segment.ramp_c_per_h >= most - EASE else None
                if rate is not None:
                    figure = Figure(rate, day.day, "", abs(segment.to_c - from_c))
                    (climbs if up else falls).append((key, figure))
    return _kept(climbs), _kept(falls)


def _segments(firing: Mapping[str, Any]) -> Iterator[tuple[float, FiredSegment]]:
    """The segments of a kiln's night in minutes since it went on, each with the heat that it starts from."""
    on_at, from_c = datetime.fromisoformat(firing["on_at"]), float(COLD_C)
    for one in firing["segments"]:
        starts, reached, ends = (
            int(_minutes(datetime.fromisoformat(one[name]) - on_at)) for name in ("starts_at", "reached_at", "ends_at")
        )
        cooling = one["to_c"] < from_c
        yield from_c, FiredSegment(one["ramp_c_per_h"], one["to_c"], one["hold_min"], starts, reached, ends, cooling)
        from_c = one["to_c"]


def gloss_off(days: Sequence[PastDay]) -> list[Figure]:
    """Return when the gloss went off [min]: of each bowl as measured, else what is written down of the day."""
    found = []
    for day in days:
        bowls = [Figure(minutes, day.day, bowl) for bowl, minutes in sorted(day.gloss_min.items())]
        written = day.day.gloss_off_min
        found += bowls or ([] if written is None else [Figure(written, day.day)])
    return found
