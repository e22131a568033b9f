"""Lower bounds hold for the limits they were proved under, and no others."""

from casting.calc.grouping.colgen.bounding import pursue
from casting.calc.grouping.colgen.goals import goals_of
from casting.calc.grouping.solution import Candidate
from tests.casting.calc.grouping.colgen.problems import evaluator_of, generation_of, one_each
from tests.days.day_file import a_day_file, wax_row


def test_a_bound_is_not_kept_once_more_is_allowed():
    # Three waxes, one in each flask of three: that two flasks are needed is proved where none may stay out.
    # Where one may, one flask less is needed, and the bound of before must not stand.
    waxes = [wax_row(f"w{n}", wax_g=9.0, width_mm=24.0, depth_mm=20.0) for n in range(3)]
    evaluator = evaluator_of(a_day_file(waxes))
    goals = goals_of(evaluator, sorted(evaluator.rules.items))
    whole = one_each(evaluator)
    colgen = generation_of(evaluator, whole)
    for nth, goal in enumerate(goals):
        pursue(colgen, goal, goals[:nth], {})
    proved = colgen.lower_bounds["flasks"]
    short = Candidate(whole.flasks[:2], frozenset(["w2"]))
    colgen.plan = short
    for nth, goal in enumerate(goals[:3]):
        pursue(colgen, goal, goals[:nth], {"left": 1.0, "firsts": 1.0})
    assert proved == 3
    assert colgen.lower_bounds["flasks"] <= 2
