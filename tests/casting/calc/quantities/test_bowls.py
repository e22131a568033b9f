"""Powder and water, bowl by bowl."""

import json
from dataclasses import replace

import pytest

from casting.calc.quantities.bowls import bowl_powder, fill_bowls, flasks_in_time, too_large_for_bowl
from casting.calc.quantities.investment import powder_for, slurry_ml
from casting.dayfile import read
from tests.days.class_day import INVESTMENT
from tests.days.day_file import a_day_file

DAY = read(json.dumps(a_day_file([]))).day
SIZES = {size.key: size for size in DAY.flask_sizes}


def test_a_bowl_of_one_small_flask_has_what_sticks_added():
    # 2 x 2.5 in: bare 161.69 g (reference IN-NET-004: 161.7), +30 = 191.69 -> 192; with 12 %: 181.09 -> 182
    assert powder_for(SIZES["51x64"], DAY.investment) == 182
    assert bowl_powder([SIZES["51x64"]], DAY.investment, DAY.rules) == 192


def test_a_bowl_of_two_larger_flasks_has_the_allowance():
    # 3 x 3 in twice: with allowance 489 + 489 = 978; bare 2 x 436.5 + 30 = 903
    assert bowl_powder([SIZES["76x76"]] * 2, DAY.investment, DAY.rules) == 978


def test_slurry_is_the_sum_of_powder_and_water_volumes():
    # 100 g / 2.53 + 40 / 0.998 = 39.526 + 40.080 = 79.606 ml by hand
    assert slurry_ml(100, DAY.investment) == pytest.approx(79.606, abs=0.001)


def test_a_flask_too_large_for_the_bowl_has_one_of_its_own():
    # 3.5 x 4 in: 888 g x 0.796 = 707 ml of slurry; a third of 4000 ml takes 1333, a third of 2000 ml 667
    day = read(json.dumps(a_day_file([], rules={"bowl_ml": 2000}))).day
    assert too_large_for_bowl([SIZES["89x102"]], day)
    bowls = fill_bowls(
        {"A": SIZES["89x102"], "B": SIZES["51x64"], "C": SIZES["51x64"]},
        {"A": "k1", "B": "k1", "C": "k1"},
        day,
    )
    assert [bowl.flasks for bowl in bowls] == [("A",), ("B", "C")]


def test_flasks_of_one_kiln_go_together():
    small = SIZES["51x64"]
    bowls = fill_bowls(dict.fromkeys("ABCD", small), {"A": "k1", "B": "k2", "C": "k1", "D": "k2"}, DAY)
    assert [bowl.flasks for bowl in bowls] == [("A", "C"), ("B", "D")]


def test_water_goes_by_the_powder_of_the_bowl():
    (bowl,) = fill_bowls({"A": SIZES["51x64"]}, {"A": "k1"}, DAY)
    # 192 x 40 / 100
    assert INVESTMENT["water_per_100"] == 40
    assert bowl.water_g == pytest.approx(76.8)


# 0.85 x gloss-off less 5 min for mixing and vacuum, over 1.5 min a flask: 9.5 is the powder's record, so 2;
# 8 -> (6.8 - 5) / 1.5 = 1.2; 7.7 -> 1.03; 7.6 -> 0.97
@pytest.mark.parametrize(
    ("gloss_off_min", "flasks"), [(None, 2), (9.5, 2), (13, 2), (9.42, 2), (9.4, 1), (8, 1), (7.7, 1), (7.6, 0), (5, 0)]
)
def test_fewer_flasks_are_filled_from_a_mix_that_sets_sooner_than_recorded(gloss_off_min, flasks):
    day = replace(DAY, gloss_off_min=gloss_off_min)
    assert flasks_in_time(day) == flasks
    bowls = fill_bowls(dict.fromkeys("ABC", SIZES["51x64"]), dict.fromkeys("ABC", "k1"), day)
    assert max(len(bowl.flasks) for bowl in bowls) == max(1, flasks)


def test_a_house_that_fills_one_flask_to_a_bowl_never_fills_more():
    rules = replace(DAY.rules, flasks_per_bowl=1)
    assert flasks_in_time(replace(DAY, rules=rules, gloss_off_min=9.45)) == 1
