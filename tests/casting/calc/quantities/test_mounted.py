"""A finished base against its slips, worked by hand, and the unit that somebody may have read it in."""

import pytest

from casting.calc.quantities.mounted import MountedWax, base_slip
from casting.dayfile.rules_file import rulebook


def test_the_wax_as_mounted_counts_as_its_slips_do():
    """By hand: 10 g of slips in wax of 0.96 are 10 / 0.96 x 10.36 = 107.92 g of sterling; 10.4 g on the base 112.23."""
    mounted = MountedWax(10.4, 10.0, 107.9167)
    assert mounted.metal_g == pytest.approx(112.233, abs=0.001)
    assert mounted.expected_g == 10.0
    assert mounted.off_pct == pytest.approx(4.0)
    assert MountedWax(9.0, 10.0, 107.9167).off_pct == pytest.approx(-10.0)


def test_a_trunk_is_expected_on_the_base_of_a_tree():
    """By hand: a trunk of 31.25 g of sterling is 31.25 x 0.96 / 10.36 = 2.896 g of wax beside 10 g of slips."""
    tree = MountedWax(12.896, 10.0, 107.9167, trunk_g=31.25)
    assert tree.expected_g == pytest.approx(12.896, abs=0.001)
    assert tree.metal_g == pytest.approx(107.9167 + 31.25, abs=0.02)


@pytest.mark.parametrize(
    ("gross", "base", "slip"),
    [
        (50.4, 40.0, ""),  # 10.4 g of wax, as it should be
        (32.15, 40.0, "dwt"),  # 50 g are 32.15 dwt
        (77.76, 40.0, "g"),  # 50 dwt are 77.76 g
        (6.43, 0.0, "dwt"),  # tared: 10 g are 6.43 dwt
        (32.15, 25.72, "dwt"),  # both in dwt: 6.43 of them are left
        (46.0, 40.0, ""),  # 40 % too little, which no unit explains
    ],
)
def test_a_base_that_was_read_in_another_unit_is_seen(gross, base, slip):
    """A pennyweight is 1.55517384 g, a twentieth of a troy ounce."""
    assert base_slip(gross, base, 10.0, rulebook()) == slip
