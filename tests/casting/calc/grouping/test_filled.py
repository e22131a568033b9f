"""The figures of a filled flask, worked by hand."""

import pytest

from casting.calc.grouping.filled import fill_all
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.group import group
from casting.calc.values.enums import Kind, Section
from tests.days.day_input import a_day, a_wax


def test_a_flask_has_its_metal_button_and_charge():
    day = a_day([a_wax("w1")])
    (flask,) = fill_all(group(day, 1), FlaskRules(day)).values()
    # 3.0 g of wax / 0.96 x 10.36 = 32.375 g; a button of 10 g for 51 mm; 42.375 up to the next 0.5: 42.5 g.
    assert flask.metal_g == {"w1": pytest.approx(32.375)}
    assert (flask.button_g, flask.charge_g, flask.trunk_g) == (pytest.approx(10), pytest.approx(42.5), None)
    assert (flask.sections, flask.kind, flask.size.key) == ((Section.MEDIUM,), Kind.WAX, "51x64")
