"""What the papers have to print of a plan file, rounded and converted by rules of its own, and what was found instead.

It knows the plan file and the day file as `casting/PLAN_FILE.md` describes them.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from functools import cached_property
from zoneinfo import ZoneInfo

from tests.casting.papers.printed_figures import Figure
from tests.contract.soak import QUENCH_MOST_C, core_after_c

PENNYWEIGHT_G = Decimal("1.55517384")
"""480 grains of 64.79891 mg are a troy ounce, and 20 pennyweights: by definition."""
CENTI, TENTH = Decimal("0.01"), Decimal("0.1")


@dataclass(frozen=True)
class Want:
    """A figure as it has to be printed: what it is, its unit, its value; of a time its weekday and which of two."""

    figure: str
    unit: str
    value: Decimal | str
    day: int | None = None
    which: str = ""

    def __str__(self):
        return str(Figure(self.unit, self.value, 0, None, self.day, self.which))


@dataclass(frozen=True)
class Difference:
    """A figure that a paper does not print as the plan file has it."""

    paper: str
    page: int | None
    flask: str
    figure: str
    wanted: str
    found: str

    def __str__(self):
        page = f"page {self.page}" if self.page else "no page"
        return f"{self.paper}, {page}, {self.flask}: {self.figure} wanted {self.wanted}, found {self.found}"


@dataclass
class Checked:
    """What was compared so far, by paper and figure, and what differs."""

    compared: Counter = field(default_factory=Counter)
    differences: list[Difference] = field(default_factory=list)

    def same(self, paper, page, flask, wanted: Want, found: str | None, agrees: bool):
        """Count a figure, and note it if it does not agree."""
        self.compared[paper, wanted.figure] += 1
        if not agrees:
            number = page.number if page else None
            found = found or "nothing"
            self.differences.append(Difference(paper, number, flask, wanted.figure, str(wanted), found))

    def word(self, paper, page, flask, figure, wanted, found):
        """Compare a word: a label, a tag, a place."""
        self.same(paper, page, flask, Want(figure, "", wanted), found, wanted == found)

    def row(self, paper, page, flask, wants, figures):
        """Compare a row's figures with those wanted: by unit, each in its order, none missing and none too many."""
        for unit in dict.fromkeys(want.unit for want in wants):
            asked = [want for want in wants if want.unit == unit]
            found = [one for one in figures if one.unit == unit]
            for want, one in zip(asked, found, strict=False):
                self.same(paper, page, flask, want, str(one), agree(want, one, figures))
            for want in asked[len(found) :]:
                self.same(paper, page, flask, want, None, False)
            for one in found[len(asked) :]:
                self.same(paper, page, flask, Want("one too many", unit, "none"), str(one), False)


def agree(want, one, figures):
    """Tell whether a figure is the one wanted; a time without a weekday is of the last weekday written before it."""
    if one.value != want.value or one.which != want.which:
        return False
    days = [other.day for other in figures if other.day is not None and other.nth <= one.nth]
    return not days or want.day is None or days[-1] == want.day


@dataclass(frozen=True)
class Wanted:
    """A plan file and its day file, with the school's units and how far its flasks have come."""

    plan: dict
    day: dict
    fahrenheit: bool = False
    pennyweight: bool = False
    on_bench: dict = field(default_factory=dict)

    @cached_property
    def flasks(self):
        """The flasks in order of pour."""
        return sorted(self.plan["flasks"], key=lambda flask: datetime.fromisoformat(flask["out_at"]))

    @cached_property
    def waxes(self):
        """The day's waxes by key."""
        return {wax["key"]: wax for wax in self.day["waxes"]}

    @cached_property
    def degree(self):
        """The school's degree."""
        return "°F" if self.fahrenheit else "°C"

    def invested(self, label):
        """Tell whether a flask is invested, or poured already."""
        return label in self.on_bench

    def poured(self, label):
        """Tell whether a flask is poured."""
        return self.on_bench.get(label) == "poured"

    def degrees(self, figure, celsius):
        """A temperature, to the nearest degree."""
        exact = Decimal(str(celsius)) * 9 / 5 + 32 if self.fahrenheit else Decimal(str(celsius))
        return Want(figure, self.degree, exact.quantize(Decimal(1), ROUND_HALF_UP))

    def ramp(self, celsius_per_h):
        """A ramp, to the nearest degree an hour: a difference takes no 32."""
        exact = Decimal(str(celsius_per_h)) * (Decimal("1.8") if self.fahrenheit else 1)
        return Want("ramp", f"{self.degree}/h", exact.quantize(Decimal(1), ROUND_HALF_UP))

    def grams(self, figure, weight_g):
        """A weight as the plan has it."""
        return Want(figure, "g", Decimal(str(weight_g)))

    def weighed(self, figure, weight_g):
        """What a student weighed: in the school's own unit alone."""
        exact = Decimal(str(weight_g))
        if self.pennyweight:
            return Want(figure, "dwt", (exact / PENNYWEIGHT_G).quantize(CENTI, ROUND_HALF_UP))
        return Want(figure, "g", exact)

    def computed(self, figure, weight_g):
        """A computed weight: to 0.01 g, and in a school of pennyweights to 0.01 of them, half up."""
        exact = Decimal(str(weight_g))
        wants = [Want(figure, "g", exact.quantize(CENTI, ROUND_HALF_UP))]
        if self.pennyweight:
            wants.append(Want(f"{figure}, dwt", "dwt", (exact / PENNYWEIGHT_G).quantize(CENTI, ROUND_HALF_UP)))
        return wants

    def to_weigh(self, figure, weight_g):
        """What is to be weighed out: grams, and in a school of pennyweights those, rounded up."""
        exact = Decimal(str(weight_g))
        wants = [Want(figure, "g", exact)]
        if self.pennyweight:
            wants.append(Want(f"{figure}, dwt", "dwt", (exact / PENNYWEIGHT_G).quantize(CENTI, ROUND_CEILING)))
        return wants

    def time(self, figure, text):
        """A time of the plan file on the school's clock, with its weekday, and which of two where it comes twice."""
        at = datetime.fromisoformat(text)
        offset, wall = at.utcoffset(), at.replace(tzinfo=ZoneInfo(self.day["timezone"]))
        first, second = (wall.replace(fold=fold).utcoffset() for fold in (0, 1))
        which = ("first" if offset == first else "second") if first > second else ""
        return Want(figure, "time", f"{at:%H:%M}", at.weekday(), which)

    def steps(self, do, flask=None, kiln=None):
        """The steps of a kind, of a flask or a kiln if one is named."""
        found = [step for step in self.plan["steps"] if step["do"] == do]
        return [step for step in found if (not flask or flask in step["flasks"]) and (not kiln or step["kiln"] == kiln)]

    def mixing(self, bowl):
        """The weights of a bowl and its two times; a bowl that is mixed has no time any more."""
        weights = [self.grams("bowl's powder", bowl["powder_g"]), self.grams("bowl's water", bowl["water_g"])]
        if all(map(self.invested, bowl["flasks"])):
            return weights
        mixes = [step for step in self.steps("mix") if set(step["flasks"]) == set(bowl["flasks"])]
        times = (("mix", "at"), ("poured by", "until"))
        return weights + [self.time(figure, step[key]) for step in mixes for figure, key in times]

    def pour(self, flask):
        """A flask's charge, both temperatures, when it is poured and when it may be quenched."""
        times = [self.time("pour", flask["out_at"]), self.time("quench", flask["quench_at"])]
        return [*self.charge(flask), *self.heats(flask), *times]

    def hot_core(self, flask):
        """When a flask whose core is too hot at its quench goes into water, and when, and how hot, it is too hot."""
        size = next(size for size in self.day["flask_sizes"] if size["key"] == flask["size"])
        out_at, quench_at = (datetime.fromisoformat(flask[key]) for key in ("out_at", "quench_at"))
        minutes = round((quench_at - out_at) / timedelta(minutes=1))
        core_c = core_after_c(size, flask["flask_c"], minutes)
        if core_c <= QUENCH_MOST_C or flask["kind"] == "stones":
            return []
        while core_after_c(size, flask["flask_c"], minutes) > QUENCH_MOST_C:
            minutes += 1
        later = (out_at.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(ZoneInfo(self.day["timezone"]))
        core = Decimal(math.ceil(core_c))
        if self.fahrenheit:  # "about", so in tens
            core = ((core * 9 / 5 + 32) / 10).quantize(Decimal(1), ROUND_HALF_UP) * 10
        times = [self.time("quench, core cooled", later.isoformat()), self.time("core too hot", flask["quench_at"])]
        return [*times, Want("core", self.degree, core)]

    def charge(self, flask):
        """A flask's charge: struck out once it is poured."""
        return self.to_weigh("weigh out", flask["charge_g"])

    def heats(self, flask):
        """A flask's two temperatures."""
        return [
            self.degrees("flask temperature", flask["flask_c"]),
            self.degrees("metal temperature", flask["pour_c"]),
        ]

    def metal(self, key):
        """The name of a metal, as the day file gives it."""
        return next(alloy["name"] for alloy in self.day["alloys"] if alloy["key"] == key)

    def kiln_name(self, key):
        """What a heading calls a kiln."""
        kiln = next(kiln for kiln in self.day["kilns"] if kiln["key"] == key)
        return kiln.get("name") or f"kiln {key}"


def hour(wax):
    """Where a wax stands, as an hour of a clock with its 12 at the notch; in the middle within 1 mm of the axis."""
    if math.hypot(wax["x_mm"], wax["y_mm"]) < 1:
        place = "centre"
    else:
        # Clockwise from the notch, thirty degrees an hour.
        clockwise = (90 - math.degrees(math.atan2(wax["y_mm"], wax["x_mm"]))) % 360
        place = f"{round(clockwise / 30) % 12 or 12} o'clock"
    return f"tier {wax['tier']} {place}" if "tier" in wax else place
