"""The gauge as typed, held against the number of the place."""

import pytest

from casting.models import SafetyRecord
from casting.models.errors import NotPlanned
from casting.services.running.gauge import read_gauge


def test_a_reading_is_held_against_the_number_of_the_place_where_the_gauge_is_recorded(school):
    """By hand at sea level: 29.92 inHg of air less 65 mbar, 1.92, are 28.0 to reach."""
    assert read_gauge(school, "32") == {"reading": 32.0}
    SafetyRecord.objects.create(school=school, gauge_unit="inHg", gauge_kind="relative")
    school.elevation_m = 0
    assert read_gauge(school, "27.5") == {"reading": 27.5, "unit": "inHg", "enough": False}
    assert read_gauge(school, "28,1")["enough"] is True
    for typed, why in (("32", "is more than the air here weighs"), ("deep", "is not a number")):
        with pytest.raises(NotPlanned, match=why):
            read_gauge(school, typed)
