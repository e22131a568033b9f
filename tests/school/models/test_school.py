"""The database refuses what a school cannot be."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.factories import SchoolFactory


@pytest.mark.parametrize(
    "wrong",
    [
        {"weight_unit": "kg"},
        {"temperature_unit": "K"},
        {"paper": "A3"},
        {"elevation_m": 9000},  # above every town
        {"elevation_m": -500},  # below the shore of the Dead Sea
    ],
)
def test_a_school_with_a_setting_outside_the_list_is_refused(db, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        SchoolFactory(**wrong)


def test_a_height_that_nobody_gave_stays_unknown(db):
    assert SchoolFactory(elevation_m=None).elevation_m is None


def test_a_time_zone_must_exist(db):
    with pytest.raises(ValidationError, match="Port/Ellery"):
        SchoolFactory.build(zone="Port/Ellery").full_clean()
