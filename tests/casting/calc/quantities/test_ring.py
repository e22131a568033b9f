"""Ring sizes: bounds of each scale, and the outer measures of a ring of wax by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from casting.calc.quantities.ring import LEAST_MOST, NotARingSize, RingScale, carved_mm, inside_mm, ring_wax, us_size


@pytest.mark.parametrize("scale", list(RingScale))
def test_a_scale_ends_somewhere(scale):
    least, most = LEAST_MOST[scale]
    assert 10 < inside_mm(least, scale) < inside_mm(most, scale) < 30
    for outside in (least - 0.01, most + 0.01, float("nan"), float("inf")):
        with pytest.raises(NotARingSize):
            inside_mm(outside, scale)


@given(st.floats(0, 16))
def test_a_us_size_is_read_back_as_it_was_told(size):
    assert us_size(inside_mm(size, RingScale.US)) == pytest.approx(size, abs=1e-9)


def test_a_ring_on_its_sprue_by_hand():
    # US 7 is 17.3228 mm inside, carved to 17.3228 / 0.99 = 17.4978; a wall of 2 makes 21.4978 across; with a head of
    # 3 on top and 9 of sprue below it is 33.4978 tall.
    wax = ring_wax(inside_mm(7, RingScale.US), 6, 2, 3, 9)
    assert (wax.carved_mm, wax.width_mm, wax.depth_mm, wax.height_mm) == pytest.approx(
        (17.4978, 21.4978, 6, 33.4978), abs=1e-4
    )


def test_what_is_carved_casts_to_its_size():
    assert carved_mm(17.0) * 0.99 == pytest.approx(17.0)
