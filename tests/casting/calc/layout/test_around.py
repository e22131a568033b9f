import random

import pytest

from casting.calc.geometry.shapes import Base, Footprint
from casting.calc.geometry.verify import faults
from casting.calc.layout.around import find_around, find_spots
from casting.calc.layout.search import find_layout
from casting.calc.values.day_plan import Place

BASE = Base(diameter_mm=76.2, hub_mm=27, between_mm=6, reach_mm=7, clear_mm=3)
RING = Footprint(22, 6, 6.5)
DRAWN = random.Random().randrange(2**32)
"""Another in each run; a failure names it."""


def test_a_wax_finds_its_spot_in_each_of_several_flasks_while_the_others_stay():
    chance, asked = random.Random(DRAWN), []
    while len(asked) < 12:
        waxes = [Footprint(chance.uniform(6, 18), chance.uniform(3, 8), 6.5) for _ in range(chance.randint(1, 3))]
        places = find_layout(waxes, BASE)
        asked.append((Footprint(5, 4, 6.5), list(zip(waxes, places, strict=True)), BASE))
    found = find_spots(asked)
    for (wax, standing, base), spot in zip(asked, found, strict=True):
        if spot is not None:
            footprints, places = [wax, *(one for one, _ in standing)], [spot, *(at for _, at in standing)]
            assert faults(footprints, places, base) == (), DRAWN
    assert sum(spot is not None for spot in found) >= 8, DRAWN


def test_a_wax_in_an_empty_flask_stands_on_the_axis_if_it_fits():
    assert find_spots([(RING, [], BASE), (Footprint(70, 6, 6.5), [], BASE)]) == [Place(0.0, 0.0, 0.0), None]


def test_no_flask_asked_of_needs_no_answer():
    assert find_spots([]) == []


def test_a_spot_is_found_where_it_is_narrow_and_none_where_there_is_none():
    standing = [(RING, Place(0, -10, 0))]
    # the ring's upper side is at -7, so another's middle stands at 2 at least: reach ends 20.5 from the axis
    (spot,) = find_spots([(RING, standing, BASE)])
    assert spot is not None and faults([RING, RING], [spot, standing[0][1]], BASE) == ()
    # rows of 40 mm end 20 from the axis: beside them a middle is 20 + 6 + 3 out at least, beyond the reach of 20.5
    four = [(Footprint(40, 6, 6.5), Place(0, y, 0)) for y in (-18, -6, 6, 18)]
    assert find_spots([(RING, four, BASE)]) == [None]


def test_several_waxes_are_placed_around_those_that_stand():
    stands = [Place(0, -10, 0), None, None]
    places = find_around([RING, Footprint(8, 4, 6.5), Footprint(6, 5, 6.5)], stands, BASE)
    assert places is not None and places[0] == stands[0]
    assert faults([RING, Footprint(8, 4, 6.5), Footprint(6, 5, 6.5)], places, BASE) == ()
    assert places == find_around([RING, Footprint(8, 4, 6.5), Footprint(6, 5, 6.5)], stands, BASE)


def test_one_free_wax_is_placed_in_the_order_asked():
    places = find_around([RING, Footprint(8, 4, 6.5)], [None, Place(0, -12, 0)], BASE)
    assert places is not None and places[1] == Place(0, -12, 0)


@pytest.mark.parametrize(("there", "stands"), [(9.0, True), (7.9, False)])
def test_waxes_that_all_stand_are_only_checked(there, stands):
    # the upper side of one is at -1, the lower side of the other at y - 3: 6 mm apart from y = 8 on
    places = [Place(0, -4, 0), Place(0, there, 0)]
    assert (find_around([RING, RING], places, BASE) is not None) is stands


def test_too_many_waxes_find_no_places():
    assert find_around([RING] * 7, [Place(0, 0, 0), *[None] * 6], BASE, work=32) is None
