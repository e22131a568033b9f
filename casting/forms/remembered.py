"""What the hand-in page begins with: what a student's wax before it was made of, or all of it for another like it."""

from __future__ import annotations

from typing import Any

from casting.forms.wax_fields import of_the_bench, typed_of
from casting.forms.wax_questions import Figures
from casting.models import CastingDay, Wax
from casting.selectors.kept_shelf import metals_offered
from school.models import Student

ONLY_ITS_OWN = ("key", "version", "weight", "note")
"""What no other wax has."""


def remembered(student: Student, day: CastingDay, like: str = "") -> dict[str, Any]:
    """Return the initial values of the page for a student; `like` is the row of a wax of theirs, as an address has it.

    A wax of somebody else, or none, is as if nothing had been asked.
    """
    own = Wax.objects.for_student(student).select_related(None)  # only the keys of what it was made of are asked for
    last = own.filter(pk=like).first() if like.isdecimal() and len(like) < 10 else None
    if last is not None:
        return {name: value for name, value in typed_of(last).items() if name not in ONLY_ITS_OWN}
    before = own.order_by("-pk").values_list("pattern_id", "alloy_id", "base_entered", "entered_unit").first()
    if before is None:
        return {}
    kept = of_the_bench(*before)
    offered = {alloy.pk for alloy in metals_offered(day)}
    return kept if kept["alloy"] in offered else kept | {"alloy": None}


def last_figures(student: Student) -> Figures | None:
    """The figures of the student's wax before; None without one."""
    last = Wax.objects.filter(student=student).order_by("-pk").values_list(*Figures.__dataclass_fields__).first()
    return Figures(*last) if last else None
