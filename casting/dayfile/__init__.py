"""Reads day files and writes plan files (`casting/PLAN_FILE.md`); turns whole minutes into the day's local times."""

from casting.dayfile.reading import Day, day_of, day_of_kept, read, read_kept
from casting.dayfile.writing import write

__all__ = ["Day", "day_of", "day_of_kept", "read", "read_kept", "write"]
