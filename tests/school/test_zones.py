"""Time zones as people write them."""

import zoneinfo

import pytest
from django.core.exceptions import ValidationError

from school.zones import read_zone, zones


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("America/Denver", "America/Denver"),
        (" america/new york ", "America/New_York"),
        ("EUROPE/MADRID", "Europe/Madrid"),
        ("UTC", "UTC"),
        ("us/eastern", "US/Eastern"),  # an old name that browsers may still report
    ],
)
def test_a_zone_is_read_in_any_case_and_with_spaces(typed, zone):
    assert read_zone(typed) == zone


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Denver", "“Denver” is not the whole name of a time zone. Do you mean America/Denver? Write it like that."),
        ("new york", "“new york” is not the whole name of a time zone. Do you mean America/New_York?"),
        ("Port Ellery", "“Port Ellery” is not a time zone. Choose one from the list, such as America/Denver."),
        ("+5", "“+5” is not a time zone. Choose one from the list"),
    ],
)
def test_what_names_no_zone_is_refused_with_what_may_be_meant(typed, said):
    with pytest.raises(ValidationError) as refusal:
        read_zone(typed)
    assert refusal.value.messages[0].startswith(said)


def test_the_list_has_places_and_every_one_can_be_chosen():
    assert "America/Denver" in zones() and "UTC" in zones() and "US/Eastern" not in zones()
    assert set(zones()) <= zoneinfo.available_timezones()
    assert [read_zone(name) for name in zones()] == list(zones())
