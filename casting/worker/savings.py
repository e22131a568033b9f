"""Tries changes that may save a flask, without the web site: `python -m casting.worker.savings < ASKED.json`.

Reads `{"day": day file, "plan": plan file}`, both as text. Writes what is known, one line each time
that more is; the last is the whole. Exit 0 when all has been tried.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from typing import Any

from casting.calc.advice.savings import Change, CurrentPlan, Trial, try_changes
from casting.calc.values.day_plan import DayPlan
from casting.dayfile import Day, read, write
from casting.solve import nothing_on_stdout


def lines(asked: str) -> Iterator[str]:
    """Yield what is known after each change that was tried, as a line of JSON."""
    texts: dict[str, str] = json.loads(asked)
    day, plan = read(texts["day"]), json.loads(texts["plan"])
    present = CurrentPlan(len(plan["flasks"]), frozenset(left["key"] for left in plan["left_out"]))
    saves: list[dict[str, Any]] = []
    tries = try_changes(day.day, present)
    last = Trial(0, 0, 0, 0)
    while True:
        with nothing_on_stdout():
            tried = next(tries, None)
        if tried is None:
            break
        if tried.change and tried.plan:
            saves.append(_saving(tried.change, tried.plan, day))
        last = tried
        yield _line(last, saves, done=False)
    yield _line(last, saves, done=True)


def _line(tried: Trial, saves: list[dict[str, Any]], done: bool) -> str:
    counts = {"passed": tried.passed, "of": tried.of, "ruled_out": tried.ruled_out, "planned": tried.planned}
    return json.dumps({**counts, "done": done, "saves": saves})


def _saving(change: Change, plan: DayPlan, day: Day) -> dict[str, Any]:
    """A change that saves a flask, and what its plan comes to."""
    written = json.loads(write(plan, day))
    return {
        "kind": change.kind.value,
        "what": change.what,
        "by": change.by,
        "to": change.to,
        "flasks": len(plan.flasks),
        "left_out": len(plan.left_out),
        "cost": plan.totals.cost,
        "last_pour_at": last_pour_at(written),
    }


def last_pour_at(plan: dict[str, Any]) -> str:
    """The time of a plan file's last pour, as it stands there; empty without a pour."""
    return max((flask["out_at"] for flask in plan["flasks"]), default="")


def main() -> int:
    """Read what is asked on standard input; write what is found."""
    for line in lines(sys.stdin.read()):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
