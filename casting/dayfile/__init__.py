"""Reading day files and writing plan files, in the formats of `casting/PLAN_FILE.md`; the only code with time zones."""

from casting.dayfile.reading import Day, day_of, read
from casting.dayfile.writing import write

__all__ = ["Day", "day_of", "read", "write"]
