"""What is raised when rows cannot be planned."""

from casting.models.errors import NotPlanned


def test_a_day_that_cannot_be_planned_says_why():
    error = NotPlanned("No metal is offered.")
    assert error.sentence == str(error) == "No metal is offered."
