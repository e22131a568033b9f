import random

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.making_room import make_room
from casting.calc.layout.search import find_layout
from casting.calc.values.day_plan import Place

BASE = Base(diameter_mm=76.2, hub_mm=27, between_mm=6, reach_mm=7, clear_mm=3)
RING = Footprint(22, 6, 6.5)
DRAWN = random.Random().randrange(2**32)
"""Another in each run; a failure names it."""


def moved(places, stands):
    return sum(new != old for new, old in zip(places[1:], stands, strict=True))


def test_one_that_stands_in_the_middle_moves_aside():
    # 6 mm deep on the axis; beside it a middle is 12 mm off, but only to one side within the corners' circle
    stands = [Place(0, 0, 0)]
    places = make_room([Footprint(30, 20, 6.5), RING], stands, BASE)
    assert places is not None and moved(places, stands) == 1
    assert faults([Footprint(30, 20, 6.5), RING], places, BASE) == ()


def test_only_the_wax_in_the_way_moves():
    stands = [Place(0, 13, 0), Place(0, -13, 0)]
    spot = Place(0, 4, 0)  # 3 mm of each: 3 mm from the first, 11 mm from the second
    places = make_room([RING, RING, RING], stands, BASE, spot)
    assert places is not None and places[0] == spot
    assert places[1] != stands[0] and places[2] == stands[1]
    assert faults([RING] * 3, places, BASE) == ()


def test_a_spot_in_the_wall_makes_no_room():
    assert make_room([RING, RING], [Place(0, 13, 0)], BASE, Place(0, -36, 0)) is None


def test_what_is_proved_not_to_fit_is_not_searched_for():
    assert make_room([Footprint(60, 30, 6.5)] * 2, [Place(0, 0, 0)], BASE) is None


def test_room_is_made_alike_each_time_and_always_as_the_check_asks():
    chance, found = random.Random(DRAWN), 0
    for _ in range(8):
        waxes = [Footprint(round(chance.uniform(6, 20), 1), round(chance.uniform(3, 9), 1), 6.5) for _ in range(5)]
        stands = find_layout(waxes[1:], BASE)
        if stands is None:
            continue
        places = make_room(waxes, stands, BASE)
        assert places == make_room(waxes, stands, BASE), DRAWN
        if places is not None:
            found += 1
            assert faults(waxes, places, BASE) == (), DRAWN
    assert found >= 2, DRAWN
