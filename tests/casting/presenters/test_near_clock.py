"""A time by its weekday, or with its date."""

from datetime import UTC, datetime, timedelta

import pytest

from casting.presenters.near_clock import near_clock


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        # From Fri 11 Dec, 09:00; from six days on a weekday could be taken for another.
        (24, "Sat 09:00"), (143, "Thu 08:00"), (144, "Thu 17 Dec 2026, 09:00"), (8 * 24, "Sat 19 Dec 2026, 09:00"),
        (-24, "Thu 09:00"), (-144, "Sat 5 Dec 2026, 09:00"),
    ],
)  # fmt: skip
def test_a_day_that_is_far_has_its_date(hours, told):
    now = datetime(2026, 12, 11, 9, tzinfo=UTC)
    assert near_clock(now + timedelta(hours=hours), now) == told
