"""Every figure that the papers print agrees with the plan file, on days of every kind; a wrong one is found."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

import pytest

from casting.models import Flask
from casting.papers.pdf.render import render
from casting.papers.registry import PAPERS
from tests.casting.calc.cautions.cases import stones_day
from tests.casting.papers.conftest import stored
from tests.casting.papers.cross_check import READERS, cross_check, read_back
from tests.casting.papers.cross_wanted import Wanted
from tests.casting.papers.printed import job_of
from tests.casting_factories import DayFactory
from tests.days.class_day import KILNS, class_day
from tests.days.day_file import a_day_file, planned, wax_row
from tests.factories import PersonFactory

TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}
MADRID = {"timezone": "Europe/Madrid", "pour_at": "2027-10-31T10:00"}
"""The night in which the clocks go back; the class's own, before 14 March in Denver, is the one forward."""
SMALL = KILNS[1] | {"width_mm": 240, "depth_mm": 240}
TWO_KILNS = [SMALL | {"key": "k1", "name": "front kiln"}, SMALL | {"key": "k2", "name": "back kiln"}]
"""Two small ones, so that both are needed."""


@dataclass(frozen=True)
class Scene:
    """A day as it is printed: its day file, the school's paper and units, how far its flasks have come."""

    day: object
    least: int
    american: bool = False
    on_bench: dict = field(default_factory=dict)
    effort: int = 1


def tree_and_stones():
    """A tree of twelve rings, one of them of resin on a wax sprue; in a kiln of its own a ring with its stones."""
    rings = [wax_row(f"W{n:02}", wax_g=2.5, depth_mm=6.0, height_mm=22.0) for n in range(12)]
    rings[3] |= {"pattern": "print-resin", "sprue_g": 0.4, "sprue_pattern": "carving-wax"}
    stones = stones_day()
    rules = {"crucible_ml": 150, "melt_max_g": 1400, "mix_pattern_kinds": True}
    sizes = [TREE, {"key": "64x64", "diameter_mm": 63.5, "height_mm": 63.5, "count": 1}]
    return a_day_file(
        [*rings, *stones["waxes"]], rules=rules, flask_sizes=sizes, kilns=KILNS, firings=stones["firings"]
    )


def made_again():
    """Four flasks, all invested by 15:20, and the plan made again then."""
    metals = {"w1": {}, "w2": {"alloy": "si-bronze"}, "w3": {"alloy": "gold-14k"}, "w4": {"owner": "Imre"}}
    day = a_day_file([wax_row(key, **metal) for key, metal in metals.items()])
    flasks = planned(day, effort=1)["flasks"]
    previous = {one["label"]: {"size": one["size"], "waxes": [wax["key"] for wax in one["waxes"]]} for one in flasks}
    invested = dict.fromkeys(previous, "2027-06-12T15:19")
    return day | {"previous": previous, "fixed": sorted(previous), "invested_at": invested, "now": "2027-06-12T15:20"}


# The least counts are what each scene's papers print today, less a tenth: a reader that finds nothing compares nothing.
SCENES = {
    "two waxes, clock forward": Scene(lambda: class_day(100, 2), 180),
    "twelve, Letter, dwt and F": Scene(lambda: class_day(100, 12), 480, american=True),
    "24, two kilns, clock back": Scene(lambda: class_day(100, 24, kilns=TWO_KILNS, **MADRID), 650),
    "sixty": Scene(lambda: class_day(100, 60), 1200),
    "invested, made again": Scene(made_again, 270, on_bench={"A": "poured"} | dict.fromkeys("BCD", "invested")),
    "tree, resin, stones": Scene(tree_and_stones, 180, effort=20),
}
WAXES = [2, 12, 23, 59, 4, 13]
"""How many waxes are in flasks; one of 24 and one of 60 are left out, and their slips say so."""
READ: dict = {}
"""The pages of each scene with what was wanted: rendered and read once, whichever test asks first."""


@pytest.fixture
def printed(db):
    """The pages of a scene, each at a school of its own, and what its plan file wants of them."""

    def read(name):
        if name not in READ:
            day = DayFactory()
            READ[name] = _printed(SCENES[name], day, PersonFactory(school=day.course.school))
        return READ[name]

    return read


def _printed(scene, day, teacher):
    day_file = scene.day()
    plan = planned(day_file, scene.effort)
    if scene.american:
        school = day.course.school
        school.paper, school.weight_unit, school.temperature_unit = "Letter", "dwt", "F"
        school.save()
    row = stored(day, teacher, plan, day_file)
    for label, state in scene.on_bench.items():
        Flask.objects.create(day=day, label=label, state=state)
    job = job_of(row)
    pages = {paper.key: html for paper in PAPERS if paper.key in READERS and (html := paper.html(job))}
    papers = read_back({key: render(html) for key, html in pages.items()})
    return papers, Wanted(plan, day_file, scene.american, scene.american, scene.on_bench)


@pytest.mark.parametrize("name", SCENES)
def test_every_figure_of_every_paper_agrees_with_the_plan_file(name, printed):
    papers, wanted = printed(name)
    checked = cross_check(papers, wanted)
    assert [str(one) for one in checked.differences] == []
    assert checked.compared.total() >= SCENES[name].least


def test_the_scenes_show_what_they_are_for(printed):
    plans = {name: printed(name)[1].plan for name in SCENES}
    assert [sum(len(one["waxes"]) for one in plan["flasks"]) for plan in plans.values()] == WAXES
    assert len(plans["24, two kilns, clock back"]["firings"]) == 2
    in_tree = plans["tree, resin, stones"]["flasks"]
    assert {"trunk_g" in one for one in in_tree} == {True, False} and {one["kind"] for one in in_tree} == {
        "resin",
        "stones",
    }
    assert any(one["owner"] != "school" for one in plans["sixty"]["flasks"])
    assert [step["do"] for step in plans["invested, made again"]["steps"]].count("mix") == 0


def later(text):
    """A minute later, with the same offset."""
    return (datetime.fromisoformat(text) + timedelta(minutes=1)).isoformat()


def flask_with(key, change):
    """Plant a wrong figure in the plan's second flask."""

    def plant(plan):
        plan["flasks"][1][key] = change(plan["flasks"][1][key])

    return plant


def first(where, key, change, **among):
    """Plant a wrong figure in the first row of a list that is like `among`."""

    def plant(plan):
        row = next(one for one in plan[where] if among.items() <= one.items())
        row[key] = change(row[key])

    return plant


def segment(key, change, nth=1):
    """Plant a wrong figure in a turn of the first kiln."""

    def plant(plan):
        row = plan["firings"][0]["segments"][nth]
        row[key] = change(row[key])

    return plant


def wax(key, change):
    """Plant a wrong figure in a wax of the second flask."""

    def plant(plan):
        row = plan["flasks"][1]["waxes"][0]
        row[key] = change(row[key])

    return plant


def moved(plan):
    """Put a wax in another flask."""
    plan["flasks"][0]["waxes"].append(plan["flasks"][1]["waxes"].pop())


def turned(plan):
    """Turn a wax that does not stand on the axis to the other side."""
    off = next(one for flask in plan["flasks"] for one in flask["waxes"] if abs(one["x_mm"]) > 5)
    off |= {"x_mm": -off["x_mm"], "y_mm": -off["y_mm"]}


def other_bowl(plan):
    """Put a flask in another bowl."""
    plan["bowls"][0]["flasks"], plan["bowls"][1]["flasks"] = plan["bowls"][1]["flasks"], plan["bowls"][0]["flasks"]


def total(key):
    """Plant a wrong total."""

    def plant(plan):
        totals = plan["totals"]
        if key == "charge_g":
            totals = totals[key]
            totals["sterling"] += 1
        else:
            totals[key] += 1

    return plant


def more(number):
    """One gram, degree or minute more."""
    return number + 1


ON_HEATS = {"day-plan", "flask-cards", "supplement", "supplement-es"}
PLANTED = {
    "charge": (flask_with("charge_g", more), ON_HEATS | {"weigh-out"}),
    "button": (flask_with("button_g", more), {"weigh-out"}),
    "powder": (flask_with("powder_g", more), {"flask-cards", "mix"}),
    "water": (flask_with("water_g", more), {"flask-cards", "mix"}),
    "flask temperature": (flask_with("flask_c", more), ON_HEATS | {"kiln-room"}),
    "metal temperature": (flask_with("pour_c", more), ON_HEATS),
    "pour": (flask_with("out_at", later), ON_HEATS | {"kiln-room", "weigh-out", "slips"}),
    "quench": (flask_with("quench_at", later), ON_HEATS | {"kiln-room"}),
    "place in the kiln": (flask_with("kiln_x_mm", lambda mm: mm + 20), {"kiln-room"}),
    "bowl's powder": (first("bowls", "powder_g", more), {"day-plan", "mix"}),
    "bowl's water": (first("bowls", "water_g", more), {"day-plan", "mix"}),
    "flasks of the bowl": (other_bowl, {"day-plan", "mix"}),
    "total powder": (total("powder_g"), {"day-plan"}),
    "total water": (total("water_g"), {"day-plan"}),
    "total metal": (total("charge_g"), {"day-plan"}),
    "hand-in closes": (first("steps", "at", later, do="hand_in_closes"), {"day-plan"}),
    "mount": (first("steps", "at", later, do="mount"), {"day-plan"}),
    "mix": (first("steps", "at", later, do="mix"), {"day-plan", "flask-cards", "mix"}),
    "mix until": (first("steps", "until", later, do="mix"), {"day-plan", "mix"}),
    "set until": (first("steps", "until", later, do="set"), {"flask-cards"}),
    "load": (first("steps", "at", later, do="load"), {"flask-cards"}),
    "melt": (first("steps", "at", later, do="melt"), {"day-plan"}),
    "kiln on": (first("firings", "on_at", later), {"day-plan", "kiln-room"}),
    "turn from": (segment("starts_at", later), {"day-plan", "kiln-room"}),
    "reached": (segment("reached_at", later), {"day-plan", "kiln-room"}),
    "hold until": (segment("ends_at", later), {"day-plan", "kiln-room"}),
    "hold": (segment("hold_min", more), {"kiln-room"}),
    "turn to": (segment("to_c", more), {"day-plan", "kiln-room"}),
    "ramp": (segment("ramp_c_per_h", more), {"day-plan", "kiln-room"}),
    "metal of a wax": (wax("metal_g", more), {"slips", "weigh-out"}),
    "flask of a wax": (moved, {"day-plan", "flask-cards", "slips", "weigh-out"}),
    "place of a wax": (turned, {"flask-cards", "slips"}),
}
"""Wrong figures by name: how each comes into a plan after it is printed, and the papers that print the right one."""


@pytest.mark.parametrize("figure", PLANTED)
def test_a_wrong_figure_is_found_on_every_paper_that_prints_it(figure, printed):
    papers, wanted = printed("twelve, Letter, dwt and F")
    plant, on = PLANTED[figure]
    plan = copy.deepcopy(wanted.plan)
    plant(plan)
    found = cross_check(papers, replace(wanted, plan=plan)).differences
    assert {one.paper for one in found} >= on, [str(one) for one in found]
    assert all(one.wanted != one.found for one in found)
