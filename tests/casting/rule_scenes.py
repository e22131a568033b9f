"""Days of the site that raise the rulebook's rules: for each scene its rows, its safety record and what it raises."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from decimal import Decimal
from typing import Any

from casting.calc.values.day_plan import Place
from casting.models import (
    Firing,
    Flask,
    FlaskSize,
    Investment,
    Kiln,
    Plan,
    SafetyRecord,
)
from casting.models.safety import SafetyRecord as Record
from casting.services.board import take_step
from casting.services.board_moves import Move
from casting.services.flasks import fix_flask
from tests.casting.calc.cautions.test_school_rules import QUIET
from tests.casting.planned import make_plan
from tests.casting.site_rows import Site

COLUMNS = {one.name for one in Record._meta.fields}
CALM = {name: value for name, value in asdict(QUIET).items() if name in COLUMNS} | {"melter": "electric"}
"""A school of whose room, people and kit nothing is to be warned of; its furnace is timed (`melter_min`)."""
TORCH = {"melter": "torch"}
ALL_DAY = {"opens": dt.time(0), "closes": dt.time(23, 59)}
NINE_TO_SIX = {"opens": dt.time(9), "closes": dt.time(18)}


@dataclass(frozen=True)
class Scene:
    """What is changed on a calm day, in its record and in its rows, and the rules that this raises."""

    raises: tuple[str, ...]
    rows: Callable[[Site], object] = Site.wax
    record: Mapping[str, Any] | None = field(default_factory=dict)
    fair: str = "calm"
    """The scene beside it that raises none of them."""


def planned(site: Site, scene: Scene) -> Any:
    """The plan of a scene's day: its rows written, its record kept, searched for by the site's own road."""
    site.rules(melter_min=15)
    # At the same hour whenever the tests run: a step over midnight finds the school shut for a minute.
    site.hours(**ALL_DAY, pour_at=_at_ten(site))
    made = scene.rows(site)
    record = SafetyRecord.objects.filter(school=site.school)
    record.update(**(CALM | scene.record)) if scene.record is not None else record.delete()
    site.day.course.school.refresh_from_db()
    site.day.refresh_from_db()
    return made if isinstance(made, Plan) else make_plan(site.day, site.teacher)


def _metals(site: Site) -> None:
    site.cast("brass")
    site.cast("nickel-white-14k")
    site.cast("sterling", composition_pct={"Ag": 92.5, "Zn": None}, solidus_c=893, liquidus_c=893)
    site.cast("si-bronze", specific_gravity=8.6)
    site.cast("gold-14k", pour_c=1000)
    site.cast("fine-silver", composition_pct={"Ag": 99.9 - 1.2, "Ge": 1.3})


def _unpriced(site: Site) -> None:
    """A silver of the school's own, of which nobody recorded what it costs."""
    alloy = site.alloy()
    alloy.pk, alloy.key, alloy.name, alloy.price_per_g = None, "own-silver", "Own silver", None
    alloy.save()
    site.cast("own-silver")


def _metals_left_out(site: Site) -> None:
    site.wax()
    site.cast("brass", pour_c=1101)
    site.cast("si-bronze", composition_pct={"Pd": 95, "Ru": 5}, specific_gravity=12.0)
    site.cast("gold-14k", pour_c=1000, liquidus_c=749, solidus_c=700)


def _materials(site: Site) -> None:
    known = {"poison_gas": False, "heavy_smoke": False, "ash": False, "unknown_plastic": False}
    site.wax()
    site.wax(pattern=site.pattern("print-resin", **known | {"heavy_smoke": True, "ash": True}, specific_gravity=0.96))
    site.wax(pattern=site.pattern("injection-wax", **known | {"unknown_plastic": None}, specific_gravity=1.01))
    site.rules(resin_wall_mm=9.9)


def _poison(site: Site) -> None:
    site.wax()
    site.wax(pattern=site.pattern("print-resin", poison_gas=True))


def _flask_rules(site: Site) -> None:
    site.rules(wall_mm=5.9, crucible_fill_pct=81, bowl_ml=300)
    site.rows(FlaskSize, cover_mm=9)
    site.wax(thick_parts=2)


def _perforated(site: Site) -> None:
    site.one_size(63.5, 76.2, wall="perforated", cover_mm=5.9)
    site.wax()


def _hot_band(low: int, high: int) -> Callable[[Site], object]:
    def rows(site: Site) -> None:
        bands = {section: [low, high] for section in ("very_thin", "thin", "medium", "heavy")}
        site.cast(flask_c=bands)

    return rows


def _fired(*steps: tuple[float, float], ramp: float = 160, **kiln: Any) -> Callable[[Site], object]:
    def rows(site: Site) -> None:
        site.firing(*steps, ramp=ramp)
        site.one_size(76.2, 101.6)
        site.rows(Kiln, **{"max_ramp_c_per_h": 1000} | kiln)
        site.wax(section="heavy")

    return rows


def _powder(**changes: Any) -> Callable[[Site], object]:
    def rows(site: Site) -> None:
        site.rows(Investment, **changes)
        site.wax()

    return rows


def _stones(hold_min: int) -> Callable[[Site], object]:
    def rows(site: Site) -> None:
        site.firing((149, 120), (260, 120), (413, hold_min), kinds=("stones",))
        site.wax(section="heavy", stones="take_firing")

    return rows


def _changed_after(site: Site) -> None:
    """An invested flask whose metal's figure is corrected."""
    site.wax()
    make_plan(site.day, site.teacher)
    fix_flask(site.day, "A", Flask.State.INVESTED, by=site.teacher)
    site.alloy(specific_gravity=10.56)


def _charge_is_small(site: Site) -> None:
    site.rules(crucible_ml=120)
    site.wax()


def _large(diameter_mm: float, height_mm: float) -> Callable[[Site], object]:
    """One flask: 127 x 190 mm hold 2,407 ml and take 3.4 kg of powder, 190 x 190 mm 5,387 ml and 7.6 kg."""

    def rows(site: Site) -> None:
        site.firing((149, 120), (315, 120), (482, 120), (732, 240))
        site.rows(Firing, max_diameter_mm=250, max_height_mm=250)
        site.rows(Kiln, height_mm=400, width_mm=500, depth_mm=500)
        site.one_size(diameter_mm, height_mm)
        site.rules(button_g_by_diameter=[[300, 35]])
        site.cast(quench_min_by_diameter=[[300, 20]])

    return rows


def _slow_furnace(site: Site) -> Site:
    """Two flasks and a furnace of 40 min: the second pour is 42 min after the first, where the pitch asks 8."""
    site.rules(melter_min=40, cup_change_min=0)
    return site.wax().wax(own_metal=True)


def _at_ten(site: Site) -> dt.datetime:
    return site.day.pour_at.astimezone(site.school.tz).replace(hour=10, minute=0)


def _full_kiln(site: Site) -> None:
    """Eight flasks of 67.5 mm on 200 x 400 mm: 86.2 % of the floor, by hand in `calc/cautions/cases.full_day`."""
    site.one_size(63.5, 76.2, outside_mm=67.5, count=8, waxes_max=1)
    site.one_kiln(width_mm=200, depth_mm=400, wall_gap_mm=25)
    for _nth in range(8):
        site.wax()


def _foot_beyond(site: Site) -> Plan:
    """Two studs in a 51 x 64 flask, one moved to 17 mm from the axis, where hub and reach make 16.5."""
    site.one_size(50.8, 63.5)
    for _nth in range(2):
        site.wax(wax_g=Decimal("0.1"), width_mm=Decimal(4), depth_mm=Decimal(3), height_mm=Decimal(25))
    plan = make_plan(site.day, site.teacher)
    tag = plan.file["flasks"][0]["waxes"][0]["key"]
    far = Move("spot", tag=tag, spot=Place(17.0, 0.0, 90.0), reason="bent by hand to the cone")
    step, _said = take_step(site.day, far, revision=plan.revision, by=site.teacher)
    return step.plan


SCENES: dict[str, Scene] = {
    "calm": Scene(()),
    "no flask": Scene((), lambda site: site.wax(height_mm=200)),
    "every metal": Scene(
        ("R-01a", "R-01b", "R-02", "R-03", "R-05", "R-38", "melting-ask", "gravity-ask", "N-15-warn"),
        _metals,
        {"melt_extraction": False},
    ),
    "a fan": Scene(("fan-running",), lambda site: site.cast("brass")),
    "a little zinc": Scene(
        ("R-01c",),
        lambda site: site.cast(composition_pct={"Ag": 98.0, "Zn": 2.0}, specific_gravity=10.4),
        {"melt_extraction": None},
    ),
    "metals left out": Scene(("R-12-hot", "R-12-metal", "N-15-stop"), _metals_left_out),
    "materials": Scene(
        ("R-08", "R-09", "pattern-ask", "pattern-ash", "wax-sinks", "resin-floats", "N-13-resin", "slow-flask"),
        _materials,
    ),
    "no price": Scene(("price-missing",), _unpriced),
    "poison": Scene(("R-10",), _poison),
    "flask rules": Scene(("N-13-wall", "N-08-warn", "bowl-full", "N-13-warn", "sprue-each"), _flask_rules),
    "perforated": Scene(("perforated-sleeve", "N-13-stop"), _perforated),
    "too cold": Scene(("N-04-cold",), _hot_band(100, 150)),
    "cracks": Scene(("N-04-crack",), _hot_band(235, 245)),
    "low": Scene(("N-04-low",), _hot_band(275, 299)),
    "hot top": Scene(("N-01", "N-14-warn"), _fired((149, 120), (740, 240), ramp=281)),
    "cool top": Scene(("N-02-warn", "N-14-wide"), _fired((149, 120), (600, 240), ramp=171)),
    "no top": Scene(("N-02-stop", "N-14-short"), _fired((149, 59), (480, 240))),
    "short top": Scene(("N-02-short", "N-14-hold"), _fired((732, 59))),
    "short hold": Scene(("N-02-hold", "N-14-fast"), _fired((149, 120), (732, 60), ramp=501)),
    "falls": Scene(("N-04-fall",), _fired((149, 120), (732, 240), (299, 60))),
    "falls far": Scene(("N-04-fall-stop",), _fired((149, 120), (732, 240), (274, 60))),
    "rises": Scene(("N-04-rise",), _fired((149, 120), (732, 240), (429, 60))),
    "a cool kiln": Scene(("kiln-too-cool",), _fired((149, 120), (371, 60), (732, 240), max_c=731)),
    "an unknown kiln": Scene(("kiln-heat-ask", "N-25"), lambda site: site.rows(Kiln, max_c=None, wall_gap_mm=24).wax()),
    "other powder": Scene(
        ("R-13", "N-11-warn", "N-12-warn", "powder-short"),
        _powder(kind="phosphate", water_per_100=43, set_min=119, allowance_pct=4.9),
    ),
    "odd powder": Scene(
        ("N-11-stop", "N-12-stop", "powder-long"), _powder(water_per_100=46, set_min=59, allowance_pct=35.1)
    ),
    "quick gloss": Scene(("gloss-early",), lambda site: site.hours(gloss_off_min=7.6).wax()),
    "quick quench": Scene(("N-07-warn",), lambda site: site.cast(quench_min_by_diameter=[[250, 4]])),
    "late quench": Scene(("quench-late",), lambda site: site.cast(quench_by_min=8)),
    "a tall flask": Scene(("N-09-warn",), _large(127, 190)),
    "a wide flask": Scene(
        ("core-hot",), lambda site: site.one_size(101.6, 101.6).cast(quench_min_by_diameter=[[250, 10]])
    ),
    "a slim flask": Scene(
        ("core-cools",), lambda site: site.one_size(32, 63.5).wax(width_mm=8, depth_mm=4, height_mm=25, wax_g=0.7)
    ),
    "heavy flasks": Scene(("N-09-stop",), _large(190, 190)),
    "stones": Scene(("stones",), _stones(600)),
    "stones, short": Scene(("stones-short",), _stones(599)),
    "charge changed": Scene(("charge-changed",), _changed_after),
    "small charge": Scene(("N-08",), _charge_is_small, fair="no flask"),
    "a flask": Scene(("R-21", "R-22", "R-23", "N-07", "N-10", "white-plaster"), fair="no flask"),
    "slow bench past closing": Scene(
        ("bench-past-closing",),
        lambda site: _slow_furnace(site).hours(opens=dt.time(0), closes=dt.time(10, 40), pour_at=_at_ten(site)),
    ),
    "slow bench": Scene(("bench-slow",), _slow_furnace),
    "nothing recorded": Scene(
        (
            "R-14a",
            "R-15",
            "R-16a",
            "R-16b",
            "R-17a",
            "R-17b",
            "R-17c",
            "R-18b",
            "R-19b",
            "R-19c",
            "R-20a",
            "R-20b",
            "R-24",
            "R-25a",
            "R-25b",
            "R-26",
            "R-27a",
            "R-27b",
            "R-28",
            "R-31",
            "R-32a",
            "R-32b",
            "R-35",
            "R-36",
            "R-39",
            "R-40",
            "N-22-warn",
            "vacuum-untried",
        ),
        record=None,
    ),
    "a timed furnace": Scene(("R-18a",), fair="torch"),
    "an untimed furnace": Scene(("melter-time-ask",), lambda site: site.rules(melter_min=None).wax()),
    "torch": Scene((), record=TORCH),
    "crowd": Scene(("R-34b", "N-22-stop"), record={"adults": 0, "students_per_adult": 12}),
    "closed vent": Scene(("R-19a",), record={"kiln_vent_outside": False}),
    "long alone": Scene(("N-23",), record={"hours_unattended": 17}),
    "alone and answered": Scene(("R-20a-say",), record={"hours_unattended": 8}),
    "a weak pump": Scene(("vacuum-weak",), record={"pump_best": 20.0}),
    "an impossible pump": Scene(("vacuum-impossible",), record={"pump_best": 31.0}),
    "shut at night": Scene(
        ("kiln-on-nobody", "kiln-turn-nobody", "kiln-alone"),
        lambda site: site.hours(**NINE_TO_SIX).rows(Kiln, delayed_start=False, runs_program=False).wax(),
        {"on_call": None},
    ),
    "delayed": Scene(
        ("kiln-delayed-start", "kiln-alone-say"),
        lambda site: (
            site.hours(**NINE_TO_SIX, on_call="Marit Oslund, 555 0142")
            .rows(Kiln, delayed_start=True, runs_program=True)
            .wax()
        ),
    ),
    "asked": Scene(("kiln-ask",), lambda site: site.hours(**NINE_TO_SIX).wax()),
    "hand-in shut early": Scene(
        ("hand-in-early",),
        lambda site: site.hours(**NINE_TO_SIX | {"hand_in_until": dt.time(17, 30), "pour_at": _at_ten(site)}).wax(),
    ),
    "shut during a pour": Scene(
        ("hours-bench",),
        lambda site: site.hours(
            **NINE_TO_SIX, pour_at=_at_ten(site), own_hours={f"{_at_ten(site):%Y-%m-%d}": ["09:00", "10:04"]}
        ).wax(),
    ),
    "a full kiln": Scene(("N-25-load",), _full_kiln),
    "a foot beyond": Scene(("reach-overruled",), _foot_beyond),
    "no hours": Scene(("hours-unknown",), lambda site: site.hours(opens=None, closes=None).wax()),
    "shut at the pour": Scene(
        ("hours-missed",), lambda site: site.hours(opens=dt.time(10), closes=dt.time(10, 5)).wax()
    ),
}
GUARDS = {"N-04-band"}
"""What no plan of ours breaks: it is raised, and not raised, in the test of the rule itself (`test_bench`)."""
ALWAYS_SAID = ("R-07", "R-11", "R-29", "R-30", "one-pour", "dry-run", "one-cup", "melt-ready", "leftover",
               "nobody-crosses", "door-shut", "no-reheat", "gas-alarm")  # fmt: skip
"""Said of every day: no day is without them."""
