#!/usr/bin/env python3
"""Run the site's commands. Says in one sentence what is missing, and the command that mends it."""

import importlib.util
import os
import sys
from pathlib import Path

SET_UP = "python3 -m venv .venv && .venv/bin/pip install -e '.[dev]'"
OLDEST = (3, 11)


def what_is_wrong() -> "str | None":
    """Return a sentence on what is missing, or None."""
    if sys.version_info < OLDEST:
        found = f"{sys.version_info[0]}.{sys.version_info[1]}"
        return f"This is Python {found} and the site needs 3.11 or newer; with a newer one run: {SET_UP}"
    if importlib.util.find_spec("django") is not None:
        return None
    inside = Path(__file__).resolve().parent / ".venv"
    if inside.is_dir() and Path(sys.prefix).absolute() != inside:
        again = " ".join([".venv/bin/python manage.py", *sys.argv[1:]])
        return f"This Python is not the one in the site's own environment; run: {again}"
    return f"Django is not installed in this environment; run: {SET_UP}"


def main() -> None:
    """Run a command of the site."""
    wrong = what_is_wrong()
    if wrong:
        sys.exit(wrong)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "school.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
