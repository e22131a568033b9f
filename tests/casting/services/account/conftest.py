"""A flask that metal is weighed out for, and a lot of it."""

import pytest

from casting.selectors.account.flasks import planned_flask
from tests.casting.account_days import invest, lot_of


@pytest.fixture
def flask(planned, teacher):
    """The one flask of the day, invested: three bands of 34.53 g each."""
    (label,) = invest(planned, teacher)
    return planned_flask(planned, label)


@pytest.fixture
def lot(school, flask, teacher):
    return lot_of(school, teacher)
