"""The plan file's contract, checked from its text alone: JSON in, breaches out.

Shares no code with the program: it reads the day file and the plan file as anyone could.
"""

from tests.contract.clock import clock_breaches
from tests.contract.flasks import flask_breaches


def breaches(day: dict, plan: dict) -> list[str]:
    """Every line of the contract that the plan breaks; the day has all its keys written out."""
    return flask_breaches(day, plan) + clock_breaches(day, plan)
