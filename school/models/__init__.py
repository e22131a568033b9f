"""The rows of a school and its people."""

from school.models.classes import Course, Student, StudentChange
from school.models.entry import DemoLink, FailedAttempt, Invitation
from school.models.people import Language, Person, Role
from school.models.school import (
    LengthUnit,
    Paper,
    School,
    SchoolMark,
    TemperatureUnit,
    WeightUnit,
    validate_currency,
    validate_zone,
)

__all__ = [
    "Course",
    "DemoLink",
    "FailedAttempt",
    "Invitation",
    "Language",
    "LengthUnit",
    "Paper",
    "Person",
    "Role",
    "School",
    "SchoolMark",
    "Student",
    "StudentChange",
    "TemperatureUnit",
    "WeightUnit",
    "validate_currency",
    "validate_zone",
]
