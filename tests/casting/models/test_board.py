"""A step on the board."""

from casting.models import BoardStep


def test_it_says_what_was_done_and_of_which_plan():
    assert str(BoardStep(did=BoardStep.Did.CARRY, plan_id=4)) == "carry 4"
    # Every kind of step finds room in its column.
    assert all(len(did) <= 10 for did in BoardStep.Did.values)
