"""The words about a flask's heat: soak and why, lag, what is lost on the way, the core at the quench."""

import json

import pytest

from casting.presenters.flask_heat import heat_lines, hot_core
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_reader import read_plan
from casting.units import Temperature
from tests.casting.calc.cautions.cases import one_flask_day, stones_day
from tests.days.day_file import planned


def lines_of(day, **units):
    """What is said of the one flask of a day."""
    sheet = read_plan(json.dumps(planned(day)), json.dumps(day))
    return heat_lines(sheet.flasks[0], sheet, SchoolUnits(**units))


def hot_core_of(day, **units):
    sheet = read_plan(json.dumps(planned(day)), json.dumps(day))
    return hot_core(sheet.flasks[0], sheet, SchoolUnits(**units))


def test_a_small_flask_soaks_as_in_practice_and_a_wide_one_until_its_core_is_near():
    # computed: the contract's cells, 194 C down: 43.9 min at 64 x 64 mm, 79.0 at 89 x 89 mm
    assert lines_of(one_flask_day(63.5, 10))[0] == (
        "Soak: 60 min, common practice. From a slow estimate of investment's conductivity the core is within "
        "15\u202fdegrees C of the kiln after 44 min."
    )
    wide = lines_of(one_flask_day(88.9, 15))[0]
    assert wide.startswith("Soak: 79 min, until the core is within 15\u202fdegrees C of the kiln, from a slow estimate")
    assert wide.endswith("Practice is 60 min.")


def test_the_core_is_told_on_the_way_up_out_of_the_kiln_and_at_the_quench():
    _soak, ramp, way, quench = lines_of(one_flask_day(63.5, 10))
    # by hand: a long cylinder at 167 C/h lags 41.8 C behind its surface, which lags 18.3 C; the open top takes some off
    assert ramp.startswith("As the kiln reaches 732\u202f°C the core is about 58\u202fdegrees C behind, and 0\u202f")
    assert way.startswith("In 2 min out of the kiln the core loses about 2\u202fdegrees C")
    # computed: a finite-volume run with steel and radiation, air of 25 C, has 392 C
    assert quench.startswith("At its quench, 15 min out of the kiln, the core is about 386\u202f°C")


def test_a_school_in_fahrenheit_reads_fahrenheit():
    soak, *_rest = lines_of(one_flask_day(63.5, 10), temperature=Temperature.FAHRENHEIT)
    assert "27\u202fdegrees F" in soak  # 15 x 1.8


def test_a_flask_with_stones_has_no_quench():
    assert len(lines_of(stones_day())) == 3


@pytest.mark.parametrize("diameter_mm", [32, 101.6])
def test_no_figure_is_below_zero(diameter_mm):
    assert not [line for line in lines_of(one_flask_day(diameter_mm, 10)) if " -" in line]


def test_a_core_that_is_hot_at_its_quench_says_when_instead():
    # computed: a finite-volume run with steel has 514 C as it is due, 15 min out of the kiln, of which 5 are the pour
    hot = hot_core_of(one_flask_day(101.6, 10))
    assert hot.words == "Wait until 10:17 to quench A: at 10:15 its core is still about 512\u202f°C."
    assert (f"{hot.later:%H:%M}", hot.short) == ("10:17", "at 10:15 its core is about 512\u202f°C")
    # 512 x 1.8 + 32 = 953.6, about: in tens
    assert "about 950\u202f°F" in hot_core_of(one_flask_day(101.6, 10), temperature=Temperature.FAHRENHEIT).words


@pytest.mark.parametrize("day", [one_flask_day(101.6, 13), one_flask_day(63.5, 10), stones_day()])
def test_nothing_is_said_of_a_core_that_is_cool_enough_or_of_a_flask_that_never_meets_water(day):
    assert hot_core_of(day) is None


@pytest.mark.parametrize(("by_min", "asks"), [(11, True), (13, False)])
def test_a_metal_that_must_not_wait_for_the_core_is_asked_about(by_min, asks):
    day = one_flask_day(101.6, 10)
    day["alloys"][0]["quench_by_min"] = by_min
    hot = hot_core_of(day)
    assert (hot.later is None, hot.words.startswith("Ask the teacher before you quench A:")) == (asks, asks)
    # the pour ends at 10:05
    assert ("too hot until 10:17, and the metal should be in water by 10:16." in hot.words) is asks
    assert ("ask first" in hot.short) is asks
