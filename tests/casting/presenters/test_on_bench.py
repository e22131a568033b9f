"""A step is done for a flask once the flask is far enough on the bench."""

from datetime import UTC, datetime

import pytest

from casting.calc.values.enums import Do
from casting.presenters.on_bench import GIVEN_BACK, IN_KILN, INVESTED, POURED, QUENCHED, done_for, is_over, stages_of

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


def test_an_invested_flask_has_set_once_that_time_is_over_whether_or_not_a_kiln_is_noted_on():
    assert done_for(Do.SET, ["A", "B", "C", "D"], STAGES, ended=True) == ("A", "B", "D")
    # It may still stand beside the kiln, whatever the clock says.
    assert done_for(Do.LOAD, ["A", "B", "C", "D"], STAGES, ended=True) == ("B", "D")


def test_an_invested_flask_is_in_its_kiln_once_that_is_noted_on():
    on_bench, kiln_of = {"A": INVESTED, "B": POURED, "D": INVESTED}, {"A": "k2", "B": "k1", "D": "k1", "E": "k1"}
    assert stages_of(on_bench, kiln_of, {"k1"}) == STAGES
    assert stages_of(on_bench, kiln_of, ()) == on_bench


def test_only_a_poured_flask_is_quenched_or_given_back():
    on_bench = {"A": INVESTED, "B": POURED, "C": POURED}
    stages = stages_of(on_bench, {}, (), quenched={"A", "B", "C"}, given_back={"A", "C"})
    assert stages == {"A": INVESTED, "B": QUENCHED, "C": GIVEN_BACK}
    assert done_for(Do.QUENCH, ["A", "B", "C"], stages) == ("B", "C")


def at(hour, minute=0):
    return datetime(2027, 6, 12, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("on_since", "now", "over"),
    [
        (at(18), at(21), True),
        (at(18), at(20, 59), False),
        (at(17, 30), at(20, 59), False),  # It went on early, but its controller may wait for nobody knows what.
        (at(18, 40), at(21, 39), False),  # It went on 40 minutes late, so its hold ends at 21:40.
        (at(18, 40), at(21, 40), True),
        (None, at(23), False),
        (at(18), None, False),
    ],
)
def test_a_hold_is_over_as_much_later_as_its_kiln_went_on_later(on_since, now, over):
    assert is_over(at(21), at(18), on_since, now) is over
