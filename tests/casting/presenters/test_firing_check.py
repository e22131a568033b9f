"""A firing as it is typed: what is said against it, in the school's units, and that the shelf's own are fair."""

import pytest

from casting.models import Firing, Kiln
from casting.presenters.firing_check import check_firing
from casting.presenters.formats import SchoolUnits
from casting.services.stock import stock_school
from casting.units import Temperature

CELSIUS, FAHRENHEIT = SchoolUnits(), SchoolUnits(temperature=Temperature.FAHRENHEIT)


@pytest.fixture
def stocked(school):
    stock_school(school)
    return school


def firing(school, *segments, diameter_mm=64, kinds=("wax",)):
    rows = [{"ramp_c_per_h": ramp, "to_c": to, "hold_min": hold} for ramp, to, hold in segments]
    return Firing(
        school=school,
        key="own",
        name="Own",
        max_diameter_mm=diameter_mm,
        max_height_mm=77,
        kinds=list(kinds),
        segments=rows,
    )


@pytest.mark.parametrize("units", [CELSIUS, FAHRENHEIT])
def test_the_shelf_s_own_firings_raise_nothing(stocked, units):
    rows = list(Firing.objects.filter(school=stocked))
    assert len(rows) >= 3
    for row in rows:
        found = check_firing(row, [], units)
        assert found.checked and not found.findings and found.hours


FAIR = [(167, 149, 120), (167, 371, 60), (167, 732, 120)]
"""The shelf's shortest firing."""
CASES = [
    # (what is changed of it, the words of the finding); the limits are those of fixtures/cautions.json
    ({"segments": [*FAIR[:2], (167, 745, 120)]}, "goes to 745\u00a0°C, above 732\u202f°C"),
    ({"segments": [*FAIR[:2], (167, 650, 120)]}, "its top is only 650\u202f°C. Below 677\u00a0°C"),
    ({"segments": [*FAIR[:2], (167, 480, 120)]}, "its top is only 480\u202f°C. Below 500\u00a0°C"),
    ({"segments": [*FAIR[:2], (167, 732, 30)]}, "holds its top for only 30 minutes. Less than 60 minutes"),
    ({"segments": FAIR, "diameter_mm": 90}, "at its top for 180 minutes: only 120 are set"),
    ({"segments": FAIR, "kinds": ("wax", "resin")}, "Less leaves carbon in resin"),
    ({"segments": FAIR, "diameter_mm": 103}, "at its top for 240 minutes: only 120 are set"),
    ({"segments": [(167, 149, 20), *FAIR[1:]]}, "no hold of 30 minutes near 150\u202f°C"),
    ({"segments": [(167, 149, 45), *FAIR[1:]]}, "45 minutes are set. Firings hold there for 60"),
    ({"segments": [*FAIR[:2], (600, 732, 120)]}, "climbs by 600\u00a0°C/h. Over 500\u202f°C/h"),
    ({"segments": [(300, 149, 120), *FAIR[1:]]}, "climbs by 300\u00a0°C/h. Below 300\u202f°C the most is 280"),
    ({"segments": [FAIR[0], (200, 371, 60), (167, 732, 180)], "diameter_mm": 80}, "Flasks 80 mm wide dry from 150"),
    ({"segments": [*FAIR, (167, 290, 30)]}, "Keep this firing at 300\u00a0°C or more after its top. It falls to 290"),
    ({"segments": [*FAIR, (167, 250, 30)]}, "after its top it falls to 250\u202f°C. Below 275"),
]


@pytest.mark.parametrize(("changed", "words"), CASES)
def test_each_limit_says_figure_limit_and_reason(stocked, changed, words):
    found = check_firing(firing(stocked, *changed.pop("segments"), **changed), [], CELSIUS)
    (said,) = [one for one in found.findings if words in one.text]
    assert said.level in ("STOP", "WARN") and said.basis.endswith(")") and "firing for flasks" not in said.text


def test_a_finding_is_told_in_fahrenheit(stocked):
    found = check_firing(firing(stocked, *FAIR[:2], (167, 745, 120)), [], FAHRENHEIT)
    # 745 C is 1373 F; 732 C is 1349.6 F, and a limit that must not be passed is rounded down
    assert "goes to 1373\u00a0°F, above 1349\u202f°F" in found.findings[0].text


def test_the_hours_run_to_the_end_of_the_top_hold(stocked):
    # (149-20)/167 h + 2 h + (371-149)/167 h + 1 h + (732-371)/167 h + 2 h = 9.2635 h = 555.8 min; the fall is left out
    found = check_firing(firing(stocked, *FAIR, (167, 500, 60)), [], CELSIUS)
    assert found.hours == "9 h 16 min"


def test_a_firing_that_cannot_be_read_is_drawn_so_far_and_called_nothing(stocked):
    row = firing(stocked, *FAIR)
    row.segments[1] = {"ramp_c_per_h": 167}
    found = check_firing(row, [("Ramps and holds, 2, to", "Nothing is entered here.")], CELSIUS)
    assert len(found.segments) == 1 and found.wrong and not found.checked and not found.findings
    row.segments[0]["ramp_c_per_h"] = 0
    assert check_firing(row, [("ramp", "wrong")], CELSIUS).segments == []


def kilns_reach(school, *most_c):
    """Leave the school as many kilns as there are figures, each with the hottest that it gets."""
    Kiln.objects.filter(school=school).delete()
    figures = {"width_mm": 356, "depth_mm": 356, "height_mm": 250, "max_ramp_c_per_h": 250, "cool_c_per_h": 150}
    for nth, max_c in enumerate(most_c, 1):
        Kiln.objects.create(school=school, key=f"k{nth}", name=f"Kiln {nth}", max_c=max_c, **figures)


def test_a_firing_hotter_than_one_kiln_is_told_with_both_temperatures(stocked):
    kilns_reach(stocked, 700, 1100)
    (found,) = check_firing(firing(stocked, *FAIR), [], CELSIUS).findings
    assert found.level == "WARN"
    expected = "Kiln 1 reaches 700\u202f°C at most, and this firing goes to 732\u00a0°C: no plan runs it there."
    assert found.text == expected


def test_a_firing_hotter_than_every_kiln_is_a_stop(stocked):
    kilns_reach(stocked, 700, 650)
    (found,) = check_firing(firing(stocked, *FAIR), [], FAHRENHEIT).findings
    assert found.level == "STOP" and found.text.startswith("Do not use this firing here: no kiln gets so hot.")
    # 732 C is 1349.6 F, rounded up as what passes the limit; 700 C is 1292 F, 650 C 1202 F
    assert all(figure in found.text for figure in ("1350\u00a0°F", "1292\u202f°F", "1202\u202f°F"))


@pytest.mark.parametrize("most_c", [(732, 1100), (None, 1100), (None,), ()])
def test_kilns_hot_enough_and_those_not_recorded_raise_nothing(stocked, most_c):
    kilns_reach(stocked, *most_c)
    assert check_firing(firing(stocked, *FAIR), [], CELSIUS).findings == []
