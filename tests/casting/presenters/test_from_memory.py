"""What stands after a figure of a plan: a star only where the shelf's figure behind it is from memory."""

import json

import pytest

from casting.calc.values.marked_text import FROM_MEMORY
from casting.dayfile.shelf_file import FIXTURES
from casting.presenters import from_memory
from casting.presenters.formats import SchoolUnits
from casting.presenters.lengths import flask_size
from casting.presenters.plan_reader import read_plan
from casting.presenters.wording import in_units
from casting.units import Temperature
from tests.days.written_plans import as_text, plan_of_one

SHELF = json.loads((FIXTURES / "shelf.json").read_text("utf-8"))["shelf"]


def sheet_of(heading, figures):
    """A written plan of one flask in sterling; every thing under that heading has these figures from memory."""
    plan, day = plan_of_one()
    things = day.get(heading, SHELF[heading])
    remembered = {"from_memory": figures}
    day[heading] = [row | remembered for row in things] if isinstance(things, list) else things | remembered
    return read_plan(*as_text(plan, day))


def marks_of(sheet):
    """The marks of a plan with one flask and one kiln, by what they stand after."""
    flask, night = sheet.flasks[0], sheet.kilns[0]
    rise, fall = night.segments[0], night.segments[-1]
    marks = {
        "flask": from_memory.flask_c_mark(flask),
        "pour": from_memory.pour_c_mark(flask),
        "quench": from_memory.quench_mark(flask),
        "metal's gravity": from_memory.gravity_mark(flask),
        "wax's gravity": from_memory.gravity_mark(flask.waxes[0].parts[0]),
        "share": from_memory.share_mark(flask),
        "least": from_memory.least_mark(flask),
        "water": from_memory.powder_mark(flask.investment, "water_per_100"),
        "rise": from_memory.ramp_mark(night, rise),
        "fall": from_memory.ramp_mark(night, fall),
        "hold": from_memory.heat_mark(night, rise.to_c),
        "soak": from_memory.heat_mark(night, fall.to_c),
        "size": flask_size(flask.size, SchoolUnits())[-2:].replace("mm", ""),
    }
    return {what for what, star in marks.items() if star == FROM_MEMORY}


@pytest.mark.parametrize(
    ("heading", "figures", "marked"),
    [
        ("alloys", [], set()),
        # the one wax is of medium section: other bands mark nothing
        ("alloys", ["flask_c.thin", "solidus_c"], set()),
        ("alloys", ["flask_c.medium"], {"flask", "soak"}),
        ("alloys", ["pour_c"], {"pour"}),
        ("alloys", ["quench_min_by_diameter"], {"quench"}),
        # the least button is given for sterling and follows from the metal's gravity
        ("alloys", ["specific_gravity"], {"metal's gravity", "least"}),
        ("patterns", ["specific_gravity"], {"wax's gravity"}),
        ("rules", ["button_pct.medium"], {"share"}),
        ("rules", ["button_g_by_diameter"], {"least"}),
        ("investment", ["water_per_100"], {"water"}),
        ("kilns", ["cool_c_per_h"], {"fall"}),
        ("kilns", ["max_ramp_c_per_h"], {"rise"}),
        ("firings", ["segments"], {"rise", "hold"}),
        ("flask_sizes", ["height_mm"], {"size"}),
    ],
)
def test_a_figure_from_memory_marks_what_follows_from_it_and_nothing_else(heading, figures, marked):
    assert marks_of(sheet_of(heading, figures)) == marked


def test_the_top_of_firings_from_memory_is_marked():
    firings = sheet_of("firings", ["segments"]).day.firings
    assert from_memory.top_mark(firings, 732) == FROM_MEMORY
    assert from_memory.top_mark(firings, 700) == ""
    assert from_memory.top_mark(sheet_of("firings", []).day.firings, 732) == ""


def test_a_star_in_a_sentence_stays_where_its_figure_is_put_on_another_scale():
    # 538 C are 1000.4 F
    words = f"Planned at 538{FROM_MEMORY}\u2007°C."
    assert in_units(words, SchoolUnits(temperature=Temperature.FAHRENHEIT)) == f"Planned at 1000{FROM_MEMORY}\u202f°F."


def test_the_note_says_what_the_star_means():
    assert from_memory.note() == "* from memory: check the supplier's sheet."
