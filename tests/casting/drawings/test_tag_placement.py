"""Tags of a small drawing: on a wide wax, beside a narrow one, over nothing else."""

import pytest
from shapely import affinity
from shapely.geometry import Point, box

from casting.drawings.tag_placement import CROWDED, HIGH, WIDE, tag_spots
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, band_row, day_with, flask, plan_with

TYPE_MM = 7.2


def waxes_at(*placed):
    """The waxes of one flask, each (width, depth, x, y, turn) in mm and degrees."""
    rows = [band_row(f"A{nth}", wax_g=0.3, width_mm=one[0], depth_mm=one[1]) for nth, one in enumerate(placed)]
    places = [(row["key"], *one[2:]) for row, one in zip(rows, placed, strict=True)]
    return read_plan(*as_text(plan_with([flask("A", places)]), day_with(rows))).flasks[0].waxes


def shape(one):
    wide, deep = one.wax.width_mm / 2, one.wax.depth_mm / 2
    turned = affinity.rotate(box(-wide, -deep, wide, deep), one.place.turn_deg, origin=(0, 0))
    return affinity.translate(turned, one.place.x_mm, one.place.y_mm)


def tag_at(spot):
    wide, high = TYPE_MM * WIDE * 2 / 2, TYPE_MM * HIGH / 2
    return box(spot[0] - wide, spot[1] - high, spot[0] + wide, spot[1] + high)


def test_a_wide_wax_holds_its_tag_and_a_narrow_one_has_it_outside():
    wide, narrow = waxes_at((16, 10, 0, 14, 0), (16, 3, 0, -14, 0))
    (on, held), (beside, held_too) = tag_spots([wide, narrow], 63.5, TYPE_MM)
    assert on == (0, 14) and held
    # 14 + 1.5 + 2.6 = 18.1 mm from the axis clears it; a step is 0.8, one of sixteen directions aslant.
    assert not held_too and beside == pytest.approx((0, -18.5), abs=2) and -18.9 <= beside[1] <= -18.1


@pytest.mark.parametrize("turn", [0, 20, 45, 70, 90])
def test_no_tag_lies_over_another_wax_a_tag_or_the_wall(turn):
    around = waxes_at(*((14, 3, x, y, turn) for x, y in [(0, 16), (15, 0), (0, -16), (-15, 0)]))
    spots = tag_spots(around, 63.5, TYPE_MM)
    tags = [tag_at(spot) for spot, _held in spots]
    for nth, tag in enumerate(tags):
        assert not spots[nth][1] and Point(0, 0).buffer(63.5 / 2).contains(tag)
        over = sum(shape(one).intersection(tag).area for one in around)
        over += sum(other.intersection(tag).area for other in tags[:nth])
        assert over <= CROWDED * tag.area
        assert min(range(4), key=lambda one: shape(around[one]).distance(Point(spots[nth][0]))) == nth


def test_where_there_is_no_room_the_tag_stays_on_its_wax():
    (only,) = waxes_at((6, 3, 0, 0, 0))
    assert tag_spots([only], 8, TYPE_MM) == [((0, 0), False)]
