"""What a day is made of: the values that a plan is worked out from.

What stands on a school's shelf names in `from_memory` the figures that somebody wrote down from memory: sheets and
screens mark these (`marked_text.mark`), and no plan depends on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from casting.calc.values.caution_rule import Rulebook
from casting.calc.values.day_plan import Spill
from casting.calc.values.enums import Aim, Kind, Powder, Section, Stones
from casting.calc.values.local_clock import LocalClock
from casting.calc.values.marked_text import firing_called, flask_size, in_a_sentence
from casting.calc.values.placed import PlacedFlask
from casting.calc.values.sentence import say
from casting.calc.values.tolerances import SLACK

COLD_C = 20
"""A kiln is at 20 C when it goes on (the plan file's definition) [degrees C]."""

SCHOOL = "school"
"""The owner of metal that no student brought."""

NONE_FROM_MEMORY: frozenset[str] = frozenset()
"""No figure of a thing is from memory, or nobody has said so."""


@dataclass(frozen=True, slots=True)
class Alloy:
    """A metal as the school keeps it. `composition_pct` holds None for "not recorded".

    `gravity_of_parts` is the specific gravity that its parts make; None unless all are recorded. `melt_j_per_g` is
    the heat that takes it from cold to its pour [J/g].
    """

    key: str
    name: str
    composition_pct: Mapping[str, float | None]
    specific_gravity: float
    solidus_c: float
    liquidus_c: float
    pour_c: float
    flask_c: Mapping[Section, tuple[float, float]]
    quench_min_by_diameter: tuple[tuple[float, float], ...]
    quench_by_min: float | None = None
    price_per_g: float | None = None
    gravity_of_parts: float | None = None
    from_memory: frozenset[str] = NONE_FROM_MEMORY
    melt_j_per_g: float = field(kw_only=True)

    @property
    def called(self) -> str:
        """What the middle of a sentence calls it."""
        return in_a_sentence(self.name)


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a wax is made of, and what it does in the kiln. None is "not recorded".

    `heavy_smoke` is more smoke than wax or castable resin makes; `unknown_plastic` a plastic whose maker or recipe
    nobody knows.
    """

    key: str
    kind: Kind
    specific_gravity: float
    poison_gas: bool | None = None
    heavy_smoke: bool | None = None
    ash: bool | None = None
    unknown_plastic: bool | None = None
    name: str = ""
    from_memory: frozenset[str] = NONE_FROM_MEMORY

    @property
    def called(self) -> str:
        """What a sentence calls it: its name, or its key if it has none."""
        return self.name or self.key


@dataclass(frozen=True, slots=True)
class Investment:
    """The powder, its water (by weight, to 100 powder) and its clock.

    `water_c` is how warm its water should be, from and to [degrees C]; None is "not recorded".
    """

    key: str
    kind: Powder
    water_per_100: float
    specific_gravity: float
    allowance_pct: float
    working_min: float
    set_min: float
    max_c: float
    price_per_kg: float | None = None
    from_memory: frozenset[str] = NONE_FROM_MEMORY
    water_c: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class FlaskSize:
    """One size of flask and its sprue base; inside `diameter_mm`, outside `outside_mm`.

    A base with a tree has a trunk of `trunk_mm`; waxes stand at least `trunk_gap_mm` off it. A perforated flask is
    filled inside a sleeve or tape, `sleeve_mm` wide and `sleeve_height_mm` high, up to `fill_mm` above its open end.
    """

    key: str
    diameter_mm: float
    height_mm: float
    outside_mm: float
    count: int
    base_mm: float
    hub_mm: float
    rim_mm: float
    cover_mm: float
    waxes_max: int
    mount: str = "cone"
    trunk_mm: float | None = None
    trunk_gap_mm: float | None = None
    name: str = ""
    from_memory: frozenset[str] = NONE_FROM_MEMORY
    wall: str = "solid"
    sleeve_mm: float | None = None
    sleeve_height_mm: float | None = None
    fill_mm: float | None = None

    @property
    def filled_mm(self) -> tuple[float, float]:
        """The diameter and the height of what investment fills, the steel of a perforated wall not subtracted [mm]."""
        return self.sleeve_mm or self.diameter_mm, self.fill_mm or self.height_mm

    @property
    def called(self) -> str:
        """What a sentence calls it: its name, or its measures if it has none."""
        named = self.name if self.name != self.key else ""
        return named or flask_size(self.diameter_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Kiln:
    """A burnout kiln: its chamber, how fast it can heat, how fast it cools, what its controller does by itself.

    `delayed_start` is whether its controller can start later by itself, `runs_program` whether it goes through ramps
    and holds by itself. None is "not recorded".
    """

    key: str
    width_mm: float
    depth_mm: float
    height_mm: float
    max_ramp_c_per_h: float
    cool_c_per_h: float
    wall_gap_mm: float
    name: str = ""
    from_memory: frozenset[str] = NONE_FROM_MEMORY
    max_c: float | None = None
    """The hottest that it gets [degrees C]; None is "not recorded"."""
    delayed_start: bool | None = None
    runs_program: bool | None = None

    @property
    def called(self) -> str:
        """What a sentence calls it: its name, or its key if it has none."""
        return self.name or say("kiln {kiln}", kiln=self.key)

    def reaches(self, firing: Firing) -> bool:
        """Whether it gets as hot as a firing's top; where that is not recorded it is asked about, and counts as hot."""
        return self.max_c is None or self.max_c >= firing.top_c - SLACK

    @property
    def sets_itself(self) -> bool | None:
        """Whether it goes through its firing by itself: one with a delayed start does, unless that is denied."""
        return self.delayed_start or None if self.runs_program is None else self.runs_program

    def load_pct(self, outsides_mm: Iterable[float], gap_mm: float) -> float:
        """Return how full flasks make the floor.

        Parameters
        ----------
        outsides_mm : iterable of float
            The outside diameters of the flasks [mm].
        gap_mm : float
            The gap that each keeps from the next [mm].

        Returns
        -------
        float
            The squares of the flasks with their gap, as part of the floor inside the wall gap [%].
        """
        width_mm, depth_mm = (side - 2 * self.wall_gap_mm + gap_mm for side in (self.width_mm, self.depth_mm))
        return 100 * sum((mm + gap_mm) ** 2 for mm in outsides_mm) / (width_mm * depth_mm)


@dataclass(frozen=True, slots=True)
class Segment:
    """One ramp and the hold after it."""

    ramp_c_per_h: float
    to_c: float
    hold_min: float


@dataclass(frozen=True, slots=True)
class Firing:
    """A burnout up to its top hold; the fall to the flask temperature is planned."""

    key: str
    max_diameter_mm: float
    max_height_mm: float
    kinds: frozenset[Kind]
    segments: tuple[Segment, ...]
    from_memory: frozenset[str] = NONE_FROM_MEMORY

    @property
    def top_c(self) -> float:
        """Its top [degrees C]."""
        return max(segment.to_c for segment in self.segments)

    @property
    def top_hold_min(self) -> float:
        """How long it holds its top, in all [min]."""
        return sum(segment.hold_min for segment in self.segments if segment.to_c >= self.top_c)

    @property
    def called(self) -> str:
        """What a sentence calls it: what it fires, as it has no name."""
        only = next(iter(self.kinds)) if len(self.kinds) == 1 else None
        return firing_called(only, self.max_diameter_mm, self.max_height_mm)


@dataclass(frozen=True, slots=True)
class Rules:
    """The house rules; the defaults are the shelf's (see `fixtures/shelf.json`).

    `crucibles_ml` are cups beside `crucible_ml`, which is the largest. `melter_min` is what a melter takes for any
    charge; None for a torch, which takes `melt_set_up_min` and what `melt_w` into the metal asks. `second_kiln_min`
    is how much earlier the last pour has to be for one kiln more to be lit.
    """

    wall_mm: float
    resin_wall_mm: float
    between_mm: float
    sprue_reach_mm: float
    sprue_clear_mm: float
    kiln_gap_mm: float
    kiln_under_mm: float
    kiln_over_mm: float
    crucible_ml: float
    crucible_fill_pct: float
    melt_max_g: float
    button_pct: Mapping[Section, float]
    button_g_by_diameter: tuple[tuple[float, float], ...]
    charge_step_g: float
    sections_may_differ_by: int
    mix_pattern_kinds: bool
    bowl_ml: float
    bowl_extra_g: float
    flasks_per_bowl: int
    bowl_pitch_min: float
    torches: int
    hands: int
    pour_min: float
    pitch_min: float
    slack_min: float
    mount_min_per_wax: float
    mount_min_per_flask: float
    mount_floor_min: float
    button_cost_pct: float
    mixed_cost: float
    aim: Aim
    melt_w: float
    melt_set_up_min: float
    cup_change_min: float
    second_kiln_min: float
    melter_min: float | None = None
    crucibles_ml: tuple[float, ...] = ()
    from_memory: frozenset[str] = NONE_FROM_MEMORY


@dataclass(frozen=True, slots=True)
class Wax:
    """A student's wax with its sprue, as weighed and measured.

    `thickest_mm` is its thickest part without the sprue, `thick_parts` how many thick parts it has with thinner ones
    between them; None is "not recorded".
    """

    key: str
    alloy: str
    pattern: str
    wax_g: float
    width_mm: float
    depth_mm: float
    height_mm: float
    section: Section
    student: str = ""
    piece: int = 1
    owner: str = SCHOOL
    sprue_g: float = 0.0
    sprue_pattern: str | None = None
    stones: Stones = Stones.NONE
    thickest_mm: float | None = None
    thick_parts: int | None = None


@dataclass(frozen=True, slots=True)
class Previous:
    """A flask of the plan before: its size, its waxes, and its place in a kiln if it is to stay there [mm]."""

    size: str
    waxes: tuple[str, ...]
    kiln: str = ""
    kiln_x_mm: float | None = None
    kiln_y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class WorkingDay:
    """One local day on which somebody is there, in minutes from the first pour.

    `midnight` begins it; it is `lasts_min` long, which is not 1440 where the clocks change.
    """

    opens: int
    closes: int
    hand_in_until: int | None
    midnight: int = 0
    lasts_min: int = 1440


@dataclass(frozen=True, slots=True)
class DayInput:
    """Everything a plan is made from. All lookups are by key; `waxes` is sorted by key.

    `hours` is empty when nobody recorded when somebody is there; else it holds the local days
    around the pour on which somebody is, in order. `clock` is the studio's.
    `missing_prices` names the things priced at 0 for want of a price.
    `rulebook` holds the rules of cautions and the limits; planning a day needs them.
    `now`, `invested_at` by fixed flask and `kiln_on_at` by kiln are minutes from the first pour,
    so mostly negative; `now` is None if nobody asked whether the day can still be done.
    `charged_g` is what fixed flasks were to be charged with as they were invested [g].
    """

    alloys: Mapping[str, Alloy]
    patterns: Mapping[str, Pattern]
    investment: Investment
    flask_sizes: tuple[FlaskSize, ...]
    kilns: tuple[Kiln, ...]
    firings: tuple[Firing, ...]
    rules: Rules
    waxes: tuple[Wax, ...]
    held: Mapping[str, str]
    previous: Mapping[str, Previous]
    fixed: tuple[str, ...]
    hours: tuple[WorkingDay, ...] = ()
    elevation_m: float = 0.0
    missing_prices: tuple[str, ...] = ()
    rulebook: Rulebook = field(default_factory=Rulebook, repr=False)
    now: int | None = None
    invested_at: Mapping[str, int] = field(default_factory=dict)
    poured: tuple[str, ...] = ()
    kiln_on_at: Mapping[str, int] = field(default_factory=dict)
    charged_g: Mapping[str, float] = field(default_factory=dict)
    clock: LocalClock = field(default_factory=LocalClock)
    gloss_off_min: float | None = None
    """How long after the powder met water the gloss went off in a mix of the day [min]; None if nobody measured it."""
    spilled: tuple[Spill, ...] = ()
    placed: tuple[PlacedFlask, ...] = ()
    """Flasks made by hand; a fixed one among them keeps these spots."""
    kept_out: frozenset[str] = frozenset()
    """Waxes that the teacher leaves out."""
    reach_overruled: Mapping[str, str] = field(default_factory=dict)
    """Why a wax may stand farther from the cone than the house's reach."""

    @property
    def working_min(self) -> float:
        """How long a mix can be worked: by the powder's record, or less by what was measured on the day [min]."""
        recorded = self.investment.working_min
        return recorded if self.gloss_off_min is None else min(recorded, self.gloss_off_min)

    def size(self, key: str) -> FlaskSize:
        """The flask size of that key; KeyError if there is none."""
        for size in self.flask_sizes:
            if size.key == key:
                return size
        raise KeyError(key)

    def wax(self, key: str) -> Wax:
        """The wax of that key; KeyError if there is none."""
        for wax in self.waxes:
            if wax.key == key:
                return wax
        raise KeyError(key)
