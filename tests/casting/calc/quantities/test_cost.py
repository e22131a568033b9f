"""The cost of a flask, worked by hand; and search, bounds and plan, which all count by the same formula."""

from collections import Counter
from dataclasses import replace

import pytest

from casting.calc.grouping.bounds.combinatorial import CombinatorialBounds
from casting.calc.grouping.bounds.relaxation import CountRelaxation
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.plan_day import plan_day
from casting.calc.quantities.cost import flask_cost, powder_cost, scrap_cost, totals_of
from casting.calc.values.day_input import Investment
from casting.calc.values.enums import Powder, Section
from tests.days.day_input import BRONZE, RULES, STERLING, a_day, a_wax, sizes

GYPSUM = Investment("gypsum", Powder.GYPSUM, 40, 2.53, 12, 9.5, 120, 750, 4.0)


def test_powder_costs_its_price_per_kilogram():
    assert powder_cost(283, GYPSUM) == pytest.approx(1.132)  # 0.283 kg x 4.00


def test_scrap_loses_a_share_of_its_price():
    assert scrap_cost(15, STERLING, RULES) == pytest.approx(1.5)  # 15 g x 1.00 x 10 %
    assert scrap_cost(15, BRONZE, RULES) == pytest.approx(0.045)  # 15 g x 0.03 x 10 %


def test_what_has_no_price_costs_nothing():
    # A price that nobody recorded cannot count; the plan warns of it (caution "price-missing").
    assert powder_cost(283, replace(GYPSUM, price_per_kg=None)) == 0
    assert scrap_cost(15, replace(STERLING, price_per_g=None), RULES) == 0


def test_a_flask_costs_powder_scrap_and_a_surcharge_for_mixed_sections():
    assert flask_cost(283, 15, STERLING, GYPSUM, RULES, mixed=False) == pytest.approx(2.632)  # 1.132 + 1.5
    assert flask_cost(283, 15, STERLING, GYPSUM, RULES, mixed=True) == pytest.approx(7.632)  # and 5


# One flask of 51 x 64: 128.70 ml of slurry. A gram of powder makes 1 / 2.53 + 0.4 / 0.998 = 0.7961 ml, with 12 %
# over 128.70 x 1.12 / 0.7961 = 181.1 g, up to 182 g: 0.728. Two waxes of 7 g: 2 x 7 / 0.96 x 10.36 = 151.08 g of
# sterling, button 15 % = 22.6625 g: 2.26625. Together 2.994.
TWO = [a_wax("w1", wax_g=7.0), a_wax("w2", wax_g=7.0)]
ONE_SMALL = {"flask_sizes": sizes(small=1, middle=0, tall=0)}


def test_search_and_plan_count_the_same_cost():
    day = a_day(TWO, **ONE_SMALL)
    assert FlaskRules(day).cost(frozenset({"w1", "w2"}), "51x64") == pytest.approx(2.99425)
    assert plan_day(day, 10).totals.cost == 2.99


def test_a_mixed_flask_costs_more_in_search_and_plan():
    mixed = a_day([TWO[0], replace(TWO[1], section=Section.THIN)], **ONE_SMALL)
    assert FlaskRules(mixed).cost(frozenset({"w1", "w2"}), "51x64") == pytest.approx(7.99425)
    assert plan_day(mixed, 10).totals.cost == 7.99


def test_the_bound_on_cost_counts_by_the_same_prices():
    # The relaxation may use a part of a wax less, but not of a flask: powder 0.728 and 15 % of 151.08 g, as above.
    day = a_day(TWO, **ONE_SMALL)
    rules = FlaskRules(day)
    relaxation = CountRelaxation(
        CombinatorialBounds(rules, frozenset({"51x64"})), list(rules.items.values()), Counter()
    )
    assert relaxation.least_cost(0, None) == pytest.approx(2.99425, abs=1e-4)


def test_a_day_adds_up_its_flasks_and_bowls():
    plan = plan_day(a_day([a_wax("a"), a_wax("b", section=Section.HEAVY)]), 10)
    totals = totals_of(plan.flasks, plan.bowls, a_day([a_wax("a"), a_wax("b", section=Section.HEAVY)]))
    assert totals == plan.totals
    assert totals.charge_g == {"sterling": sum(flask.charge_g for flask in plan.flasks)}
    assert totals.powder_g == sum(bowl.powder_g for bowl in plan.bowls)
    empty = totals_of((), (), a_day([]))
    assert (empty.flasks, empty.cost, empty.charge_g, empty.last_pour_at) == (0, 0, {}, None)
