"""The hours in which a kiln is on and the school closed, by hand."""

import pytest

from casting.calc.cautions.kiln_night import KilnNight, kiln_night
from casting.calc.values.day_input import WorkingDay

# Open from 60 min before the first pour to 510 after it, and the same the day before: closed from -930 to -60.
OPEN = (WorkingDay(-1500, -930, None), WorkingDay(-60, 510, None))


@pytest.mark.parametrize(
    ("on", "alone_min"),
    [
        ([(-900, 60)], 840),  # -900 to -60
        ([(-1000, 60)], 870),  # the first 70 minutes somebody is there
        ([(-60, 510)], 0),
        ([(-900, -800), (-850, -700)], 200),  # two kilns, one stretch
        ([(-900, -800), (-700, -650)], 100),  # two stretches: the longer one
        ([(400, 600)], 90),  # after closing, and no day is known after this one
        ([], 0),
    ],
)
def test_the_longest_stretch_alone_is_found(on, alone_min):
    assert kiln_night(on, [], OPEN).alone_min == alone_min


def test_any_minute_of_the_top_heat_alone_counts():
    assert kiln_night([], [(-120, -59)], OPEN).top_heat_alone
    assert not kiln_night([], [(-60, 30)], OPEN).top_heat_alone


def test_unknown_hours_watch_nothing():
    assert kiln_night([(-900, 60)], [(0, 30)], ()) == KilnNight(None, True)
