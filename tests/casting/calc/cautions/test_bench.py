"""Cautions about firings, flask sizes, kilns and flasks: each raised at its limit, and not short of it."""

from dataclasses import replace

import pytest

from casting.calc.cautions.bench import GATES, of_day_gates, of_flask
from casting.calc.plan_day import plan_day
from tests.casting.calc.cautions.cases import OF_BENCH, fast, firing_day, levels_by_rule, named
from tests.days.day_file import a_day_file, wax_row
from tests.days.day_input import KILN, a_day, a_wax

OUR_FIRING = ((149, 120), (482, 120), (732, 240))


@pytest.fixture(scope="module")
def plain():
    """The cautions of one heavy ring in sterling, with everything as the shelf has it."""
    return levels_by_rule(a_day_file([wax_row("w1", wax_g=5.0)]))


@pytest.mark.parametrize(("id", "level", "day"), OF_BENCH, ids=named(OF_BENCH))
def test_a_caution_is_raised_by_what_it_is_about(id, level, day, plain):
    assert levels_by_rule(day)[id] == level
    assert id not in plain


def test_the_firings_and_ramps_at_their_limits_warn_of_nothing():
    said = levels_by_rule(firing_day(*OUR_FIRING))
    assert not [id for id, level in said.items() if id.startswith("N-0") and level == "WARN"]
    assert not [id for id in levels_by_rule(fast(170)) if id.startswith("N-14")]


# crucible 24 ml x 10.36 x 20 % = 49.7 g; carried: powder and metal over 3 and 7 kg
@pytest.mark.parametrize(
    ("id", "raises", "does_not"),
    [
        ("N-04-band", {"flask_c": 600}, {"flask_c": 566}),
        ("N-08", {"charge_g": 49.5}, {"charge_g": 50.0}),
        ("N-09-warn", {"powder_g": 2951}, {"powder_g": 2950}),
        ("N-09-stop", {"powder_g": 6951}, {"powder_g": 6950}),
    ],
)
def test_a_flask_s_own_cautions(id, raises, does_not):
    day = a_day([a_wax("w1")])
    (flask,) = plan_day(day, 1).flasks
    flask = replace(flask, charge_g=50.0)
    assert id in {caution.id for caution in of_flask(replace(flask, **raises), day)}
    assert id not in {caution.id for caution in of_flask(replace(flask, **does_not), day)}


def test_a_kiln_that_is_slower_than_its_firing_counts_as_it_runs():
    day = a_day([a_wax("w1")], kilns=(replace(KILN, max_ramp_c_per_h=160),))
    assert "N-14-warn" not in {caution.id for caution in plan_day(day, 1).cautions}


def test_the_gates_of_every_pour_are_asked_whatever_the_day():
    assert tuple(caution.id for caution in of_day_gates(a_day([]))) == GATES


def test_a_limit_of_another_school_of_thought_raises_at_its_own_figure():
    # 3 kg warns by the rulebook; with 2 kg there, 2.1 kg does: 2050 g of powder and 50 g of metal.
    day = a_day([a_wax("w1")])
    (flask,) = plan_day(day, 1).flasks
    flask = replace(flask, charge_g=50.0, powder_g=2050)
    two_kg = replace(day.rulebook.limits["carry_with_care_kg"], value=2)
    stricter = replace(day.rulebook, limits={**day.rulebook.limits, two_kg.name: two_kg})
    assert "N-09-warn" not in {caution.id for caution in of_flask(flask, day)}
    assert "N-09-warn" in {caution.id for caution in of_flask(flask, replace(day, rulebook=stricter))}
