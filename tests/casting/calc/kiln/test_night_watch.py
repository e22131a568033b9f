"""A kiln's readings against its curve, worked by hand: fair nights that say nothing, and each way to be off."""

import pytest

from casting.calc.kiln.night_watch import Off, Reading, Watch, planned_c, watch
from casting.calc.values.day_plan import FiredSegment
from casting.dayfile.rules_file import rulebook

# 20 to 140 in 60 min, 120 min there; to 740 in 240, 120 there; down to 540 in 100, until the pours end.
NIGHT = (
    FiredSegment(120, 140, 120, 0, 60, 180, cooling=False),
    FiredSegment(150, 740, 120, 180, 420, 540, cooling=False),
    FiredSegment(120, 540, 160, 540, 640, 800, cooling=True),
)


def seen(*readings, powder_max_c=750):
    return watch(NIGHT, [Reading(*one) for one in readings], powder_max_c, rulebook())


@pytest.mark.parametrize(
    ("at", "due"),
    [(-30, 20), (0, 20), (30, 80), (60, 140), (179, 140), (300, 440), (420, 740), (590, 640), (640, 540), (900, 540)],
)
def test_the_curve_at_a_moment(at, due):
    assert planned_c(NIGHT, at) == pytest.approx(due)


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [(30, 78)],
        [(30, 85), (170, 144)],  # a controller swings
        [(60, 131)],  # within 10 of its hold: it counts as there
        [(300, 420)],  # 20 under on a climb of 150 an hour: 8 min, under the 10 that are told
        [(300, 462)],  # 22 over: under the 25 that are told
        [(430, 735), (530, 742)],
        [(590, 655)],
    ],
)
def test_a_fair_night_says_nothing(readings):
    assert (seen(*readings).off, seen(*readings).behind_min) == (None, 0)


def test_a_kiln_that_is_late_is_told_by_how_much():
    """At 340 the curve says 540; 440 was due at 300. On the first climb 80 at 60 was due at 30."""
    assert seen((340, 440)) == Watch(Off.LATE, 40)
    assert seen((60, 80)) == Watch(Off.LATE, 30)
    # At 140 while the curve climbs again: 100 min after that climb began.
    late = seen((280, 140))
    assert (late.off, late.behind_min) == (Off.LATE, 100)


def test_a_kiln_that_climbs_in_its_hold_or_fall_has_a_relay_that_may_be_stuck():
    assert seen((100, 141), (150, 190)).off is Off.RISES
    assert seen((560, 700), (600, 720)).off is Off.RISES
    # Hot, and falling as it should: no relay. One reading alone tells nothing of a relay.
    assert seen((560, 740), (600, 690)).off is Off.HOT
    assert seen((150, 190)).off is Off.HOT


def test_a_kiln_that_does_not_climb_over_three_readings_does_not_follow():
    assert seen((200, 150), (230, 152), (260, 155)).off is Off.DOES_NOT_FOLLOW
    # Two readings may be a slip: it is late, no more.
    assert seen((230, 152), (260, 155)).off is Off.LATE
    # It climbs, if slowly: late.
    assert seen((200, 150), (230, 180), (260, 215)).off is Off.LATE
    # It should not climb in its hold.
    assert seen((80, 139), (120, 140), (170, 141)).off is None


def test_a_kiln_that_falls_too_far_is_cold_and_never_late():
    assert seen((650, 500)) == Watch(Off.COLD, 0)


def test_what_the_investment_does_not_take_comes_first():
    assert seen((420, 751)).off is Off.OVER_POWDER
    assert seen((420, 750)).off is None
    assert seen((150, 760)).off is Off.OVER_POWDER


def test_a_late_kiln_stays_late_once_it_is_up_and_its_climb_is_no_stuck_relay():
    """40 min behind on the climb: it is up at 460 and its fall begins at 580, when the curve falls since 540."""
    late = (340, 440)
    assert seen(late, (455, 728)).behind_min == 39  # 728 was due at 415.2
    assert (seen(late, (480, 739)).off, seen(late, (480, 739)).behind_min) == (Off.LATE, 40)
    assert seen(late, (470, 738), (560, 741)).off is Off.LATE
    assert seen(late, (470, 738), (660, 600)).off is Off.LATE  # 40 min later than the curve's 600
