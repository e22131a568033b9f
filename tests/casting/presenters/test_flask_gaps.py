"""The narrowest gap and wall of a flask."""

from casting.presenters.flask_gaps import gaps_of
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24, plan_of_one


def test_a_wax_alone_has_a_wall_and_no_gap_and_two_have_both():
    (alone,) = read_plan(*as_text(*plan_of_one())).flasks
    assert gaps_of(alone.waxes, alone.size, alone.rules)[0] is None
    flask = read_plan(*as_text(*plan_of_24())).flasks[0]
    assert gaps_of(flask.waxes, flask.size, flask.rules) == (flask.gap_mm, flask.to_wall_mm)
    assert flask.gap_mm >= flask.rules.between_mm - 0.002 and flask.to_wall_mm >= flask.wall_mm - 0.002
