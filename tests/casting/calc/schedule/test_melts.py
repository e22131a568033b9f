"""Torches: how long each melt takes, when a torch is free again, who takes the next charge; worked by hand."""

from __future__ import annotations

import pytest

from casting.calc.schedule.melts import Melt, Torches
from tests.days.day_input import BRONZE, STERLING, a_day

# 100 g of sterling (376 J/g): 3 + 100 x 376 / 400 / 60 = 4.57, so 5 min in a hot cup, 7.57, so 8 in a fresh one.
# 67 g of bronze (740 J/g): 3 + 2.07 = 5.07, so 6; 8.07, so 9 in a fresh one.


def torches(**rules: object) -> Torches:
    return Torches(a_day([], rules))


def test_the_first_melt_of_a_torch_warms_its_cup_before_the_pour() -> None:
    assert torches().melt(100, STERLING, 0) == Melt(-8, 0, 24, fresh_cup=False)


def test_one_torch_is_free_two_minutes_after_the_flask_left_the_kiln() -> None:
    one = torches()
    one.melt(100, STERLING, 0)
    # wanted at once: free at 2, 5 min in the hot cup
    assert one.melt(100, STERLING, 0) == Melt(2, 7, 24, fresh_cup=False)


def test_a_pour_that_waits_for_its_pitch_has_its_melt_as_late_as_it_can() -> None:
    one = torches()
    one.melt(100, STERLING, 0)
    assert one.melt(100, STERLING, 8) == Melt(3, 8, 24, fresh_cup=False)


def test_another_metal_takes_a_fresh_cup() -> None:
    one = torches()
    one.melt(100, STERLING, 0)
    # free at 2, then 9 min: 11, where the pitch would ask 8
    assert one.melt(67, BRONZE, 8) == Melt(2, 11, 24, fresh_cup=True)
    # and back again: free at 13, 8 min
    assert one.melt(100, STERLING, 19) == Melt(13, 21, 24, fresh_cup=True)


def test_another_cup_for_the_same_metal_is_cold_as_well() -> None:
    one = torches(crucibles_ml=(8.0,))
    # 80 % of 8 ml of sterling: 66.3 g
    assert one.melt(66, STERLING, 0) == Melt(-8, 0, 8, fresh_cup=False)
    assert one.melt(100, STERLING, 0) == Melt(2, 10, 24, fresh_cup=True)


def test_two_torches_melt_side_by_side() -> None:
    two = torches(torches=2)
    two.melt(100, STERLING, 0)
    assert two.melt(67, BRONZE, 8) == Melt(-1, 8, 24, fresh_cup=False)
    # both are free in time for 16: the one whose cup is hot
    assert two.melt(100, STERLING, 16) == Melt(11, 16, 24, fresh_cup=False)
    assert two.melt(67, BRONZE, 24) == Melt(18, 24, 24, fresh_cup=False)


def test_of_two_torches_the_one_that_is_sooner_melts() -> None:
    two = torches(torches=2, pitch_min=5)
    two.melt(100, STERLING, 0)
    two.melt(100, STERLING, 5)
    # the first is free at 2: 7; the second at 7: 12
    assert two.melt(100, STERLING, 5) == Melt(2, 7, 24, fresh_cup=False)


def test_a_melter_of_its_own_time_takes_it_for_every_charge() -> None:
    electric = torches(melter_min=15, cup_change_min=0)
    assert electric.melt(20, STERLING, 0) == Melt(-15, 0, 24, fresh_cup=False)
    assert electric.melt(150, STERLING, 0) == Melt(2, 17, 24, fresh_cup=False)


@pytest.mark.parametrize(("pour_min", "free"), [(1, 1), (1.5, 2), (5, 2)])
def test_metal_has_left_the_cup_before_the_pour_is_over(pour_min: float, free: int) -> None:
    one = torches(pour_min=pour_min)
    one.melt(100, STERLING, 0)
    assert one.melt(100, STERLING, 0).at == free


def test_a_charge_that_was_poured_keeps_the_torch_that_was_free_first_until_it_left_the_cup() -> None:
    """Poured at 10 as somebody noted; the torch is free 2 min later, and the next of the metal has a hot cup."""
    one = torches(torches=1)
    done = one.melted(50.0, STERLING, 10)
    assert done.until == 10 and not done.fresh_cup
    following = one.melt(50.0, STERLING, 0)
    assert following.at == 12 and following.until - following.at == done.until - done.at
