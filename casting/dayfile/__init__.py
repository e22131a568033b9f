"""The open day file and plan file: JSON to `DayInput`, `DayPlan` to JSON.

The only part of the program that knows time zones. The format is in `casting/PLAN_FILE.md`.
"""

from casting.dayfile.reading import Day, day_of, read
from casting.dayfile.writing import write

__all__ = ["Day", "day_of", "read", "write"]
