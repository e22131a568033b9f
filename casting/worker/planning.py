"""Plans a day for the site: `python -m casting.worker.planning EFFORT [KILNS] < DAY.json`.

Writes plan files as they improve, one a line, as `casting.solve` does; the last is the best. If the day is refused as
too late, or its plan cannot keep the hours or the hand-in that the day asks for, or leaves waxes out that another of
the school's kilns would take, or its bench melts too slowly, a last line that begins with `{"aside"` says which changes
would work; where a plan for little more cost ends earlier, it holds that plan. KILNS are all that the school works
with, a list in JSON. Exit codes are those of `casting.solve`; a refusal is a line of JSON (`Refused.from_line`).
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from typing import Any

from casting.calc.grouping.budget import SOONER_EFFORT
from casting.calc.plan_day import DaySearch
from casting.calc.values.day_plan import DayPlan
from casting.calc.values.errors import Refused
from casting.dayfile import Day, read, write
from casting.solve import efforts_to, improving, nothing_on_stdout, read_effort
from casting.worker.nearest import BENCH, Offer, Rows, What, nearest_changes, needs_change


def lines(asked: str, effort: int, kilns: Rows = ()) -> Iterator[str]:
    """Yield the lines to write for a day file; `Refused` at the end if the day is. `kilns` are all of the school's."""
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
    with nothing_on_stdout():
        aside = _aside(asked, search, effort, last, kilns)
    if aside:
        yield json.dumps(aside)
    if refused is not None:
        raise refused


def _aside(asked: str, search: DaySearch, effort: int, last: DayPlan | None, kilns: Rows) -> dict[str, Any] | None:
    """What is said beside the plans: the changes that would work, or the plan that ends earlier."""
    file, day = json.loads(asked), read(asked)
    found = list(nearest_changes(file, search, effort, last, kilns))
    offers = [_offer(offer, day, last) for offer in found]
    sooner: dict[str, Any] = {}
    if last is not None and not needs_change(last) and all(offer.change.what in BENCH for offer in found):
        plan = search.sooner(last, min(effort, SOONER_EFFORT))
        sooner = {"plan": json.loads(write(plan, day))} if plan is not None else {}
    if offers or last is None or needs_change(last):
        used: dict[str, Any] = {part: [row["key"] for row in file.get(part, ())] for part in ("flask_sizes", "kilns")}
        used["rules"] = {what.value: file.get("rules", {}).get(what.value) for what in BENCH}
        when = {"pour_at": file["pour_at"], "hours": file.get("hours")}
        return {"aside": "nearest", **when, **used, "offers": offers, **sooner}
    return {"aside": "sooner", **sooner} if sooner else None


def _offer(offer: Offer, day: Day, last: DayPlan | None) -> dict[str, Any]:
    """What a change comes to, with the times of its plan file; of torches also the last pour as the day is now."""
    said = {"what": offer.change.what.value, "value": offer.change.value} | figures(offer.plan, offer.day)
    if offer.change.what in (What.TORCHES, What.MELT_W) and last is not None:
        said["last_pour_was_at"] = figures(last, day)["last_pour_at"]
    if offer.change.what is What.TORCHES and offer.day.day.rules.hands > day.day.rules.hands:
        said["hands"] = offer.day.day.rules.hands
    return said


def figures(plan: DayPlan, day: Day) -> dict[str, Any]:
    """What a plan comes to: when its hand-in closes, its first kiln goes on, its pours and last quench are."""
    file = json.loads(write(plan, day))
    at = {do: sorted(step["at"] for step in file["steps"] if step["do"] == do) for do in ("hand_in_closes", "kiln_on")}
    flasks = file["flasks"]
    return {
        "hand_in_closes_at": next(iter(at["hand_in_closes"]), None),
        "kiln_on_at": next(iter(at["kiln_on"]), None),
        "pour_at": min((flask["out_at"] for flask in flasks), default=None),
        "last_pour_at": max((flask["out_at"] for flask in flasks), default=None),
        "last_quench_at": max((flask["quench_at"] for flask in flasks), default=None),
        "flasks": len(flasks),
        "left_out": len(file["left_out"]),
    }


def main() -> int:
    """Read a day file on standard input; write its plans and what would work."""
    try:
        effort, kilns, *_more = [*sys.argv[1:], "", ""]
        for line in lines(sys.stdin.read(), read_effort(effort), json.loads(kilns or "[]")):
            sys.stdout.write(line + "\n")
            sys.stdout.flush()
    except Refused as refused:
        sys.stderr.write(f"{refused.to_line()}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
