"""Bounds on days worked by hand; small random days are in `test_small_days`."""

from casting.calc.grouping.group import group
from tests.casting.calc.days import a_day, a_wax, sizes


def test_a_bigger_flask_can_be_worse():
    # 13 g of wax is 13 / 0.96 x 10.36 = 140.29 g of sterling; one melt takes 24 x 0.8 x 10.36 = 198.9 g.
    # 64 mm: a button of 0.15 x 140.29 = 21.04 g, charge 161.5 g. 76 mm, here 60 g of button: 200.5 g, too much.
    rules = {"button_g_by_diameter": ((51, 10), (64, 15), (77, 60), (102, 60))}
    plan = group(a_day([a_wax("w1", wax_g=13.0)], rules, flask_sizes=sizes(small=0, middle=1, tall=1)), 20)
    assert [one.size for one in plan.groups] == ["64x64"]
    assert plan.proof.proved
