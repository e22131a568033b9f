"""The triggers of a school's mark on its shelf, its rubber bases, its prices and the metals of its days: `school.migrations._mark`."""

from typing import Any

from school.migrations._mark import leave, watch

LISTS = ("alloy", "patternmaterial", "investment", "flasksize", "kiln", "firing", "houserules", "rubberbase", "pricelist")
OF_DAY = (
    "(SELECT school_course.school_id FROM casting_castingday JOIN school_course "
    "ON school_course.id = casting_castingday.course_id WHERE casting_castingday.id = {row}.castingday_id)"
)
WATCHED = {f"casting_{name}": "{row}.school_id" for name in LISTS} | {"casting_castingday_alloys": OF_DAY}


def put_up(_apps: Any, editor: Any) -> None:
    """Create the triggers of this app."""
    watch(editor, WATCHED)


def remove(_apps: Any, editor: Any) -> None:
    """Drop them."""
    leave(editor, WATCHED)
