"""The rows of a school and its people."""

from school.models.classes import Course, Student
from school.models.entry import DemoLink, FailedAttempt
from school.models.people import Person
from school.models.school import Paper, School, TemperatureUnit, WeightUnit, validate_currency, validate_zone

__all__ = [
    "Course",
    "DemoLink",
    "FailedAttempt",
    "Paper",
    "Person",
    "School",
    "Student",
    "TemperatureUnit",
    "WeightUnit",
    "validate_currency",
    "validate_zone",
]
