"""What the board says is in the way of a wax, compared with shapely, which shares no code with the rules."""

import json
import math
import re

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import affinity, box

from casting.models import Plan

GAP = re.compile(r"([\d.]+)\u202fmm from (\w\w); 6\u202fmm is needed\.")
WALL = re.compile(r"(-?[\d.]+)\u202fmm from the wall; 6.5\u202fmm is needed\.")


def rectangle(x, y, turn):
    """A plain band of 22 x 8 mm on its spot."""
    return affinity.rotate(box(x - 11, y - 4, x + 11, y + 4), turn, origin=(x, y))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(x=st.floats(-28, 28), y=st.floats(-28, 28), turn=st.integers(0, 359))
def test_each_gap_and_wall_is_the_one_that_shapely_measures(planned, teacher_client, x, y, turn):
    flask = Plan.objects.latest_of(planned).file["flasks"][0]
    x, y, tag = round(x, 2), round(y, 2), flask["waxes"][0]["key"]
    asked = {"wax": tag, "flask": flask["label"], "x_mm": x, "y_mm": y, "turn_deg": turn}
    said = json.loads(teacher_client.get(reverse("board_spot", args=[planned.pk]), asked).content)
    mine = rectangle(x, y, turn)
    size = next(one for one in Plan.objects.latest_of(planned).day_values["flask_sizes"] if one["key"] == flask["size"])
    gaps = {
        wax["key"]: mine.distance(rectangle(wax["x_mm"], wax["y_mm"], wax["turn_deg"])) for wax in flask["waxes"][1:]
    }
    near = {key: gap for key, gap in gaps.items() if gap < 6 - 0.01}
    told = {key: float(gap) for gap, key in GAP.findall(said["words"])}
    assert set(near) <= set(told) and all(gaps[key] < 6 for key in told)
    assert all(told[key] == pytest.approx(math.floor((gaps[key] + 0.002) * 10) / 10, abs=0.1001) for key in told)
    wall = size["diameter_mm"] / 2 - max(math.hypot(*corner) for corner in mine.exterior.coords)
    if wall < 6.5 - 0.01:
        # Over the wall it is less than nothing, and rounded down as well.
        assert float(WALL.search(said["words"])[1]) == pytest.approx(wall, abs=0.11)
    if not said["words"]:
        assert said["takes"] and not near and wall > 6.5 - 0.01
