"""The plan that is drawn, and a flask with a tree."""

import json

import pytest

from casting.presenters.plan_reader import read_plan
from casting.presenters.plan_sheet import WaxName
from tests.days.day_file import a_day_file, planned, wax_row
from tests.days.written_plans import as_text, plan_of_24


@pytest.fixture
def plan():
    return read_plan(*as_text(*plan_of_24()))


TREE = {"key": "102x152", "diameter_mm": 101.6, "height_mm": 152.4, "count": 1, "mount": "tree"}


@pytest.fixture(scope="module")
def flask():
    """Eight rings 30 mm high, more than go round the trunk once: four and four, the second tier from 16 + 30 + 6 mm."""
    rings = [wax_row(f"w{n}", wax_g=2.5, depth_mm=6.0, height_mm=30.0) for n in range(8)]
    day = a_day_file(rings, rules={"crucible_ml": 150, "melt_max_g": 1400}, flask_sizes=[TREE])
    names = {f"w{n}": WaxName(f"W{n}", "Imre <b>", "ring & band") for n in range(8)}
    return read_plan(json.dumps(planned(day)), json.dumps(day), names).flasks[0]
