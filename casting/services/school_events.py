"""What the casting days do when something happens in a school: the school tells it by signals and knows no listener."""

from __future__ import annotations

from typing import Any

from casting.services.stock import stock_school
from school.models import School
from school.signals import school_made


def stock_new_school(school: School, **_signal: Any) -> None:
    """Stock a school that has just been made."""
    stock_school(school)


def listen() -> None:
    """Connect the casting days to what happens in a school."""
    school_made.connect(stock_new_school, dispatch_uid="stock_new_school")
