"""What a plan consists of: the values that `plan_day` gives back.

Times are whole minutes from the day's first pour.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from casting.calc.values.enums import Asked, Do, Kind, Level, Reason, Section


@dataclass(frozen=True, slots=True)
class Place:
    """Where a wax stands: x, y from the axis seen from the wax side, y toward the notch.

    `turn_deg` is the turn of the width axis, anticlockwise. All three as printed (0.001).
    """

    x_mm: float
    y_mm: float
    turn_deg: float


@dataclass(frozen=True, slots=True)
class TreePlace(Place):
    """Where a wax stands on a tree: its lower face `z_mm` over the open end, its tier 1 nearest the button."""

    z_mm: float
    tier: int


@dataclass(frozen=True, slots=True)
class Group:
    """Waxes that share one flask of one size, with their places (key -> place)."""

    label: str
    size: str
    places: Mapping[str, Place]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A wax that no flask can take, with the first reason that is true."""

    key: str
    reason: Reason
    detail: str
    cure: str | None


@dataclass(frozen=True, slots=True)
class Proof:
    """True lower bounds over all plans, and whether the plan meets them."""

    left_out_at_least: int
    first_left_out_at_least: int
    flasks_at_least: int
    cost_at_least: float
    flasks_proved: bool
    proved: bool
    why: str
    as_placed: tuple[str, ...] = ()
    """Flasks made by hand: the bounds hold for plans that keep them."""


@dataclass(frozen=True, slots=True)
class KilnPlace:
    """Where a flask's axis stands, from the chamber's front left corner."""

    kiln: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Grouping:
    """Every wax in one group or left out; every group with a place in a kiln.

    `moved` are the waxes whose label differs from the one in `previous`.
    """

    groups: tuple[Group, ...]
    left_out: tuple[LeftOut, ...]
    kiln_places: Mapping[str, KilnPlace]
    proof: Proof
    moved: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FlaskPlan:
    """One flask, worked out."""

    label: str
    size: str
    alloy: str
    owner: str
    section: Section
    kind: Kind
    places: Mapping[str, Place]
    metal_g: Mapping[str, float]
    wax_metal_g: float
    button_g: float
    charge_g: float
    powder_g: int
    water_g: float
    flask_c: int
    pour_c: float
    kiln: str
    kiln_x_mm: float
    kiln_y_mm: float
    out_at: int
    quench_at: int
    trunk_g: float | None = None
    """Metal of the trunk [g]; None for a base without a tree."""
    by_hand: bool = False
    """Whether the teacher made it, and the search left it alone or only added to it."""
    spots_by_hand: frozenset[str] = frozenset()
    """The waxes whose spots were given by hand."""
    beyond_reach: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    """By how much the foot of a wax is beyond the reach [mm], and why it may be."""


@dataclass(frozen=True, slots=True)
class Bowl:
    """Flasks mixed together, with the powder and water of the bowl."""

    flasks: tuple[str, ...]
    powder_g: int
    water_g: float


@dataclass(frozen=True, slots=True)
class Spill:
    """What a bowl that spilled held for which flasks, and when that was noted [min from the first pour]."""

    flasks: tuple[str, ...]
    at: int
    powder_g: float
    water_g: float


@dataclass(frozen=True, slots=True)
class FiredSegment:
    """A segment as it will run: ramp from `starts_at` to `reached_at`, hold to `ends_at`."""

    ramp_c_per_h: float
    to_c: float
    hold_min: int
    starts_at: int
    reached_at: int
    ends_at: int
    cooling: bool


@dataclass(frozen=True, slots=True)
class FiringPlan:
    """One kiln's night."""

    kiln: str
    firing: str
    on_at: int
    segments: tuple[FiredSegment, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the day."""

    at: int
    until: int
    do: Do
    flasks: tuple[str, ...]
    kiln: str | None
    say: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A line that must be seen, how hard it is, when it is asked and what it rests on."""

    id: str
    level: Level
    when: Asked
    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over the day."""

    flasks: int
    powder_g: int
    water_g: float
    charge_g: Mapping[str, float]
    cost: float
    last_pour_at: int | None = None
    """When the last flask leaves its kiln [min]; None without a flask."""
    spilled_powder_g: float = 0.0
    spilled_water_g: float = 0.0
    """What bowls that spilled held, beside `powder_g` and `water_g`."""


@dataclass(frozen=True, slots=True)
class DayPlan:
    """The whole plan."""

    flasks: tuple[FlaskPlan, ...]
    bowls: tuple[Bowl, ...]
    left_out: tuple[LeftOut, ...]
    totals: Totals
    proof: Proof
    firings: tuple[FiringPlan, ...]
    steps: tuple[Step, ...]
    cautions: tuple[Caution, ...]
    moved: tuple[str, ...] = ()
