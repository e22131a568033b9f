"""The words about a flask's heat: soak and why, lag, what is lost on the way, the core at the quench."""

import json

import pytest

from casting.presenters.flask_heat import heat_lines
from casting.presenters.formats import SchoolUnits
from casting.presenters.plan_reader import read_plan
from casting.units import Temperature
from tests.casting.calc.cautions.cases import one_flask_day, stones_day
from tests.days.day_file import planned


def lines_of(day, **units):
    """What is said of the one flask of a day."""
    sheet = read_plan(json.dumps(planned(day)), json.dumps(day))
    return heat_lines(sheet.flasks[0], sheet, SchoolUnits(**units))


def test_a_small_flask_soaks_as_in_practice_and_a_wide_one_until_its_core_is_near():
    # computed: the contract's cells, 194 C down: 43.9 min at 64 x 64 mm, 79.0 at 89 x 89 mm
    assert lines_of(one_flask_day(63.5, 10))[0] == (
        "Soak: 60 min, common practice. From a slow estimate of plaster's conductivity the core is within "
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
