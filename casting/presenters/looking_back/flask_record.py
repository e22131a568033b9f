"""The record of a flask: what its plan asked for, and what came of it as far as anybody noted it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from casting.calc.cautions.vacuum import gauge_of
from casting.calc.geometry.from_day import room_above_mm
from casting.calc.quantities.investment import water_per_100_of
from casting.calc.quantities.sprue import sprues_for
from casting.calc.quantities.vacuum import Gauge
from casting.calc.schedule.pours import wait_min
from casting.calc.values.day_input import DayInput
from casting.calc.values.enums import Do, Kind, Tick
from casting.dayfile import read_kept
from casting.models import KilnReading, Plan, Transfer
from casting.presenters.cautions import safety_record_of
from casting.presenters.running.mixing import JOINED
from casting.selectors.account.flasks import BookedFlask, booked_flasks
from casting.selectors.flasks import Noted, Notes, noted_on
from casting.selectors.mounted import MountedCharge, charge_on, mounted_charges, weighed_bases


@dataclass(frozen=True)
class DayRecord:
    """The plan of a day with what was noted of its steps; a figure that nobody noted is left out, never guessed."""

    plan: Plan
    day: DayInput
    notes: Notes
    booked: Mapping[str, BookedFlask]
    readings: Mapping[str, Sequence[KilnReading]]
    gauge: tuple[Gauge, float] | None = None
    """The school's vacuum gauge and its air [mbar]; None if it cannot be known what the gauge shows."""
    mounted: Mapping[str, MountedCharge] = field(default_factory=dict)
    """What finished bases that were weighed ask for, by flask."""

    @classmethod
    def of(cls, plan: Plan) -> DayRecord:
        """Return the record of a plan's day."""
        readings: dict[str, list[KilnReading]] = defaultdict(list)
        for reading in plan.day.kiln_readings.all():
            readings[reading.kiln].append(reading)
        booked = booked_flasks(plan.day)
        gauge = gauge_of(safety_record_of(plan.day.course.school).facts())
        day = read_kept(plan.day_file).day
        mounted = mounted_charges(plan.file, day, weighed_bases(plan.day))
        return cls(plan, day, noted_on(plan.day), booked, readings, gauge, mounted)

    def figures(self, tag: str) -> dict[str, float]:
        """Return the figures that may tell why a piece failed, by the names of `fixtures/defects.json`."""
        wax = self.day.wax(tag)
        flask = next(one for one in self.plan.file["flasks"] if any(piece["key"] == tag for piece in one["waxes"]))
        alloy, size = self.day.alloys[flask["alloy"]], self.day.size(flask["size"])
        least_c, most_c = alloy.flask_c[wax.section]
        tallest = max(self.day.wax(piece["key"]).height_mm for piece in flask["waxes"])
        found: dict[str, float] = {
            "flask_c": flask["flask_c"],
            "flask_least_c": least_c,
            "flask_most_c": most_c,
            "superheat_c": flask["pour_c"] - alloy.liquidus_c,
            "charge_asked_g": charge_on(flask, self.mounted),
            "resin": float(flask["kind"] == Kind.RESIN),
        }
        if size.trunk_mm is None:
            found["cover_mm"] = size.cover_mm + room_above_mm(size) - tallest
            # As N-13 asks of a size, here of what was over the tallest wax.
            found["cover_asked_mm"] = size.diameter_mm * self.day.rulebook.limit("cover_least_pct") / 100
        asked_mm = sprues_for(wax, self.day.patterns[wax.pattern].specific_gravity, self.day.rulebook).least_mm
        if asked_mm is not None:
            found["sprue_asked_mm"] = asked_mm
        waits = wait_min(alloy, size, self.day, stones=flask["kind"] == Kind.STONES)
        label = str(flask["label"])
        found |= {"quench_asked_min": waits} | self._clock(flask) | self._bowl(label) | self._metal(label)
        return found | self._sprue(tag) | self._air("pour_gauge_mbar", self.notes.get((Tick.POUR_GAUGE, label)))

    def _bowl(self, label: str) -> dict[str, float]:
        """How old the mix was when it filled a flask, how long that then stood still, its water and the air over it."""
        filled = self._at(Do.MIX, label)
        begun, gone, bell = (self._of_bowl(do, label) for do in (Tick.MIXING, Tick.GLOSS, Tick.BELL))
        found: dict[str, float] = {"slurry_working_min": self.day.working_min}
        if filled and begun and filled >= begun.at:
            found["slurry_min"] = _minutes(begun.at, filled)
        if filled and gone:
            found["quiet_min"] = _minutes(filled, gone.at)
        return found | self._water(label) | self._air("mix_gauge_mbar", bell)

    def _water(self, label: str) -> dict[str, float]:
        """The water to 100 of powder: as planned, and as it was weighed for the bowl that filled a flask."""
        weighed = self._of_bowl(Tick.WATER_G, label)
        if weighed is None:
            return {"water_asked_g_per_100g": self.day.investment.water_per_100}
        powder_g = weighed.figures["powder_g"]
        return {
            "water_asked_g_per_100g": water_per_100_of(weighed.figures["asked_g"], powder_g),
            "water_g_per_100g": water_per_100_of(float(weighed.figures["water_g"]), powder_g),
        }

    def _air(self, fact: str, read: Noted | None) -> dict[str, float]:
        """The air that a gauge left; nothing of one whose number cannot be known, or of another than was read then."""
        if read is None or self.gauge is None or read.figures.get("unit") != self.gauge[0].unit:
            return {}
        gauge, air_mbar = self.gauge
        return {fact: max(0.0, gauge.pressure_mbar(float(read.figures["reading"]), air_mbar))}

    def _sprue(self, tag: str) -> dict[str, float]:
        """How thick and long the sprue of a piece was, as far as somebody measured it."""
        measured = self.notes.get((Tick.SPRUE, tag))
        figures = measured.figures if measured else {}
        names = {"thick_mm": "sprue_mm", "long_mm": "sprue_length_mm"}
        return {fact: float(figures[name]) for name, fact in names.items() if name in figures}

    def _of_bowl(self, do: str, label: str) -> Noted | None:
        """What was noted last of the bowl that filled a flask: a later plan may have made another bowl of it."""
        noted = [one for (done, what), one in self.notes.items() if done == do and label in what.split(JOINED)]
        return max(noted, key=lambda one: one.at, default=None)

    def _metal(self, label: str) -> dict[str, float]:
        """The metal that was weighed out for a flask; a student's own is neither fresh nor used."""
        booked = self.booked.get(label)
        if booked is None or booked.metal.charge_g <= 0:
            return {}
        found = {"charge_g": float(booked.metal.charge_g)}
        if booked.weights[Transfer.What.FRESH] + booked.weights[Transfer.What.REUSED] > 0:
            found["fresh_pct"] = float(booked.fresh_pct)
        return found

    def _top(self, firing: Mapping[str, Any], late: timedelta) -> dict[str, float]:
        """The hottest reading of a kiln at its top; one from before or after tells of it only if it is hotter still."""
        top = max(firing["segments"], key=lambda one: one["to_c"])
        start, end = (datetime.fromisoformat(top[name]) + late for name in ("reached_at", "ends_at"))
        readings = self.readings.get(firing["kiln"], ())
        told = [float(one.celsius) for one in readings if start <= one.at <= end or one.celsius > top["to_c"]]
        return {"top_c": max(told)} if told else {}

    def _clock(self, flask: Mapping[str, object]) -> dict[str, float]:
        """The minutes between steps that were noted, and what the plan had between them."""
        label, kiln = str(flask["label"]), str(flask["kiln"])
        mixed, poured, quenched = (self._at(do, label) for do in (Do.MIX, Do.POUR, Do.QUENCH))
        kiln_on = self._at(Do.KILN_ON, kiln)
        firing = next(one for one in self.plan.file["firings"] if one["kiln"] == kiln)
        reached = [one["reached_at"] for one in firing["segments"] if one["to_c"] == flask["flask_c"]]
        late = kiln_on - datetime.fromisoformat(firing["on_at"]) if kiln_on else timedelta()
        found = self._top(firing, late)
        if reached:
            ready, out = datetime.fromisoformat(reached[-1]), datetime.fromisoformat(str(flask["out_at"]))
            found["soak_asked_min"] = _minutes(ready, out)
            if kiln_on and poured:
                found["soak_min"] = max(0.0, _minutes(ready + late, poured))
        if mixed and kiln_on:
            found["rest_min"] = _minutes(mixed, kiln_on)
        taken_out = self._at(Tick.OUT, label)
        if taken_out and poured and poured >= taken_out:
            found["out_min"] = _minutes(taken_out, poured)
        if poured and quenched:
            found["quench_min"] = _minutes(poured, quenched)
        return found

    def _at(self, do: str, what: str) -> datetime | None:
        noted = self.notes.get((do, what))
        return noted.at if noted else None


def _minutes(start: datetime, end: datetime) -> float:
    return round((end - start).total_seconds() / 60, 1)
