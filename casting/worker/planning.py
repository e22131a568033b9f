"""Plans a day for the site: `python -m casting.worker.planning EFFORT < DAY.json`.

Writes plan files as they improve, one a line, as `casting.solve` does; the last is the best. If the day is refused as
too late, or its plan cannot keep the hours or the hand-in that the day asks for, a last line that begins with
`{"aside"` says which changes would work; else, where a plan for little more cost ends earlier, it holds that plan.
Exit codes and refusals are those of `casting.solve`.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from typing import Any

from casting.calc.plan_day import DaySearch
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.errors import Refused
from casting.dayfile import Day, read, write
from casting.solve import efforts_to, improving, nothing_on_stdout, read_effort
from casting.worker.nearest import Offer, nearest_changes, needs_change

SOONER_EFFORT = 10
"""Enough for column generation once; a plan beside the cheapest is not worth the cheapest's whole search."""


def lines(asked: str, effort: int) -> Iterator[str]:
    """Yield the lines to write for a day file; `Refused` at the end if the day is."""
    day = read(asked)
    search, last, written = DaySearch(day.day), None, ""
    refused: Refused | None = None
    try:
        for plan in improving(day, search, efforts_to(effort)):
            line = json.dumps(json.loads(write(plan, day)))
            if line != written:
                yield line
            last, written = plan, line
    except Refused as late:
        if late.place != "pour_at":
            raise
        refused = late
    if refused is not None or (last is not None and needs_change(last)):
        with nothing_on_stdout():
            aside = _nearest(asked, search, effort, last)
        yield aside
    elif last is not None:
        with nothing_on_stdout():
            sooner = search.sooner(last, min(effort, SOONER_EFFORT))
        if sooner is not None:
            yield json.dumps({"aside": "sooner", "plan": json.loads(write(sooner, day))})
    if refused is not None:
        raise refused


def _nearest(asked: str, search: DaySearch, effort: int, plan: DayPlan | None) -> str:
    file = json.loads(asked)
    offers = [_offer(offer) for offer in nearest_changes(file, search, effort, plan)]
    return json.dumps({"aside": "nearest", **{key: file.get(key) for key in ("pour_at", "hours")}, "offers": offers})


def _offer(offer: Offer) -> dict[str, Any]:
    """What a change comes to, with the times of its plan file."""
    return {"what": offer.change.what.value, "value": offer.change.value} | figures(offer.plan, offer.day)


def figures(plan: DayPlan, day: Day) -> dict[str, Any]:
    """When a plan's hand-in closes, its first kiln goes on, its first and last pour and its last quench are."""
    file = json.loads(write(plan, day))
    at = {do: sorted(step["at"] for step in file["steps"] if step["do"] == do) for do in ("hand_in_closes", "kiln_on")}
    flasks = file["flasks"]
    return {
        "hand_in_closes_at": next(iter(at["hand_in_closes"]), None),
        "kiln_on_at": next(iter(at["kiln_on"]), None),
        "pour_at": min((flask["out_at"] for flask in flasks), default=None),
        "last_pour_at": max((flask["out_at"] for flask in flasks), default=None),
        "last_quench_at": max((flask["quench_at"] for flask in flasks), default=None),
        "left_out": len(file["left_out"]),
    }


def main() -> int:
    """Read a day file on standard input; write its plans and what would work."""
    try:
        for line in lines(sys.stdin.read(), read_effort(sys.argv[1] if len(sys.argv) > 1 else "")):
            sys.stdout.write(line + "\n")
            sys.stdout.flush()
    except Refused as refused:
        sys.stderr.write(f"{refused}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
