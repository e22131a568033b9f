"""What the record knows of the gauge; the cautions themselves are raised in `test_school_rules`."""

from dataclasses import replace

import pytest

from casting.calc.cautions.school_record import SafetyRecord
from casting.calc.cautions.vacuum import gauge_of, unknown_of_gauge, vacuum_cautions
from casting.calc.quantities.vacuum import Gauge
from casting.dayfile.rules_file import rulebook

KNOWN = SafetyRecord(gauge_unit="inHg", gauge_kind="relative", pump_best=24, elevation_m=1609)


def test_a_gauge_that_is_recorded_stands_in_the_air_of_its_height():
    gauge, air_mbar = gauge_of(KNOWN)
    assert gauge == Gauge("inHg", absolute=False)
    assert air_mbar / 33.8639 == pytest.approx(24.64, abs=0.02)  # row WA-ALT-006
    assert list(vacuum_cautions(KNOWN, rulebook())) == []


@pytest.mark.parametrize("missing", ["gauge_unit", "gauge_kind", "elevation_m"])
def test_nothing_is_guessed(missing):
    record = replace(KNOWN, **{missing: None})
    assert gauge_of(record) is None and unknown_of_gauge(record) == (missing,)
    assert [one.id for one in vacuum_cautions(record, rulebook())] == ["vacuum-untried"]


def test_sea_level_is_a_height_and_not_a_blank():
    _gauge, air_mbar = gauge_of(replace(KNOWN, elevation_m=0))
    assert air_mbar == 1013.25
