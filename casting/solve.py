"""Plans a day file without the web site: `python -m casting.solve [DAY.json|-] [--effort N]`.

Writes plan files as they improve, one a line; the last is the best. Exit 0: a plan was made.
Exit 2: the day was refused, with one line on standard error.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from casting.calc.grouping.budget import EFFORT, FIRST_EFFORT, RUNGS
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.preassigned import is_settled
from casting.calc.plan_day import DaySearch
from casting.calc.schedule.lateness import TooSoon
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.errors import Refused
from casting.dayfile import Day, read, write
from casting.dayfile.done import too_soon

USAGE = "usage: python -m casting.solve [DAY.json|-] [--effort N]"
STDOUT = 1
WHOLE = re.compile(r"[0-9]{1,9}")


def read_effort(text: str) -> int:
    """Return the work units of a command line; `Refused` unless a whole number of 1 or more."""
    if not WHOLE.fullmatch(text) or int(text) < 1:
        raise Refused("--effort", f"{text!a} stands here, but it must be a whole number of 1 or more; give one.")
    return int(text)


def read_bytes(name: str) -> bytes:
    """Return the bytes of a file, of standard input for `-`; `Refused` if there are none."""
    if name == "-":
        return sys.stdin.buffer.read()
    try:
        return Path(name).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise Refused("file", f"{name!a} cannot be read ({reason}); give the name of a day file.") from None


def plan_texts(file: bytes, efforts: Sequence[int]) -> Iterator[str]:
    """Yield a plan file for each of some rising efforts, no more once it is proved; `Refused` before the first."""
    day = read(file)
    return (write(plan, day) for plan in improving(day, DaySearch(day.day), efforts))


def needs_no_search(day: Day) -> bool:
    """Return whether every wax has its spot in a whole flask or goes into none, so that `check` plans the day."""
    return is_settled(FlaskRules(day.day))


def check(day: Day) -> str:
    """Return the plan file of a day that needs no search; quick, and fit for threads. `Refused` as a plan is."""
    search = DaySearch(day.day)
    try:
        return write(search.plan(FIRST_EFFORT), day)
    except TooSoon as refused:
        raise _too_soon(refused, day) from None


def _too_soon(refused: TooSoon, day: Day) -> Refused:
    called = {kiln.key: kiln.called for kiln in day.day.kilns}
    return too_soon(refused, called, day.pour_at, day.zone)


def improving(day: Day, search: DaySearch, efforts: Sequence[int]) -> Iterator[DayPlan]:
    """Yield the plans of a search for rising efforts; `Refused` with clock times if the first pour is too soon."""
    plans = search.improving(efforts)
    while True:
        try:
            with nothing_on_stdout():
                plan = next(plans, None)
        except TooSoon as refused:
            raise _too_soon(refused, day) from None
        if plan is None:
            return
        yield plan


def efforts_to(effort: int) -> list[int]:
    """Return the efforts at which plans are written, up to that one."""
    return [*(less for less in (FIRST_EFFORT, *RUNGS[1:]) if less < effort), effort]


@contextmanager
def nothing_on_stdout() -> Iterator[None]:
    """Keep what a library prints of its own out of the plan file; for a command, not for threads."""
    sys.stdout.flush()
    kept = os.dup(STDOUT)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, STDOUT)
    os.close(nowhere)
    try:
        yield
    finally:
        os.dup2(kept, STDOUT)
        os.close(kept)


def main(arguments: Sequence[str] | None = None) -> int:
    """Plan the day file that the arguments name; return the exit code."""
    rest = list(sys.argv[1:] if arguments is None else arguments)
    try:
        effort = EFFORT
        if "--effort" in rest:
            at = rest.index("--effort")
            effort = read_effort(rest[at + 1] if at + 1 < len(rest) else "")
            del rest[at : at + 2]
        if len(rest) > 1 or any(word.startswith("--") for word in rest):
            raise Refused("command", f"{' '.join(rest)!a} is not understood; {USAGE}")
        last = ""
        for text in plan_texts(read_bytes(rest[0] if rest else "-"), efforts_to(effort)):
            line = json.dumps(json.loads(text))
            if line != last:
                sys.stdout.write(line + "\n")
                sys.stdout.flush()
            last = line
    except Refused as refused:
        sys.stderr.write(f"{refused}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
