"""A step is done for a flask once the flask is far enough on the bench."""

import pytest

from casting.calc.values.enums import Do
from casting.presenters.on_bench import IN_KILN, INVESTED, POURED, done_for, stages_of

STAGES = {"A": INVESTED, "B": POURED, "D": IN_KILN}


@pytest.mark.parametrize(
    ("do", "done"),
    [
        (Do.MIX, ("A", "B", "D")),
        (Do.SET, ("B", "D")),
        (Do.LOAD, ("B", "D")),
        (Do.KILN_ON, ("B", "D")),
        (Do.HOLD, ("B",)),
        (Do.POUR, ("B",)),
        (Do.QUENCH, ()),
    ],
)
def test_a_step_is_done_once_its_flask_is_far_enough(do, done):
    assert done_for(do, ["A", "B", "C", "D"], STAGES) == done


def test_an_invested_flask_is_in_its_kiln_once_that_is_noted_on():
    on_bench, kiln_of = {"A": INVESTED, "B": POURED, "D": INVESTED}, {"A": "k2", "B": "k1", "D": "k1", "E": "k1"}
    assert stages_of(on_bench, kiln_of, {"k1"}) == STAGES
    assert stages_of(on_bench, kiln_of, ()) == on_bench
