"""The order in which pieces are sawn off, by hand on a drawing seen from the button side."""

from casting.calc.advice.cutting_order import Standing, cutting_order
from casting.calc.values.day_plan import Place, TreePlace


def piece(place, metal_g=10.0, height_mm=30.0):
    return Standing(place, 12, 6, height_mm, metal_g)


NORTH, EAST, SOUTH, WEST = Place(0, 15, 0), Place(15, 0, 0), Place(0, -15, 0), Place(-15, 0, 0)


def test_it_begins_with_the_one_nobody_mistakes_and_goes_round_clockwise_in_the_mirror():
    """Seen from the button side what stood in the east is on the left: after north come west, south and east."""
    pieces = {"A1": piece(SOUTH, 22), "B2": piece(NORTH), "C3": piece(EAST), "D4": piece(WEST)}
    # From south, clockwise in the mirror: the left, which is the east of the wax side, then north, then the west.
    assert cutting_order(pieces) == (["A1", "C3", "B2", "D4"], True)


def test_pieces_that_all_look_alike_are_said_to():
    pieces = {"A1": piece(SOUTH, 10.5), "B2": piece(NORTH), "C3": piece(EAST, 9.5)}
    order, known = cutting_order(pieces)
    assert order[0] == "C3" and not known
    assert cutting_order({"A1": piece(SOUTH)}) == (["A1"], True)


def test_of_a_tree_the_tier_farthest_from_the_button_is_cut_first():
    low, high = (TreePlace(0, 15, 0, 16.0, 1), TreePlace(0, 15, 0, 60.0, 2))
    assert cutting_order({"A1": piece(low, 30), "B2": piece(high)})[0] == ["B2", "A1"]
