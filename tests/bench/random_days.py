"""`python -m tests.bench.random_days --days 500 [--seed N]`: days drawn at random, every line of the contract asked.

Each plan is read by `tests.contract`, which shares no code with the program: nothing before its cause, one vacuum
table, one pour at a time, no flask outside its band at the pour, no core over 500 C quenched without a warning, no
step outside people's hours untold. Every change that is offered is made in the day file and planned from it anew: it
must give the offered plan, byte for byte, which keeps the contract and the day's hours and leaves no more waxes out.

Without `--seed` a fresh one is drawn and printed. Run it under `nice`; it takes a second or two a day.
"""

from __future__ import annotations

import argparse
import json
import random
import secrets
import time
from collections import Counter
from collections.abc import Iterator

from casting.calc.plan_day import DaySearch, plan_day
from casting.calc.values.errors import Refused
from casting.dayfile import read, write
from casting.worker.nearest import apply_change, nearest_changes, needs_change
from tests.contract import breaches
from tests.days.class_day import class_day
from tests.days.odd_day import odd_day

EFFORT = 8
ZONES = (
    ("America/Denver", "2027-06-13"), ("America/Denver", "2027-11-07"), ("America/Denver", "2027-03-14"),
    ("Europe/London", "2027-10-31"), ("Asia/Kolkata", "2027-03-01"), ("Australia/Adelaide", "2027-04-04"),
)  # fmt: skip
"""Zones with a day each: in summer, the nights of clock changes both ways, half-hour zones, a month's first day."""
POURS = ("06:30", "09:00", "10:00", "11:30", "14:00")


def drawn(seed: int) -> dict:
    """A day in one of the zones: two in five with much amiss, the others a class; some with hours, some with a now."""
    chance = random.Random(seed)
    day = odd_day(seed) if chance.random() < 0.4 else _class(seed, chance)
    zone, date = chance.choice(ZONES)
    day |= {"timezone": zone, "pour_at": f"{date}T{chance.choice(POURS)}"}
    if chance.random() < 0.3:
        day["now"] = f"{date}T0{chance.choice('0123')}:{chance.choice(('00', '30'))}"
    if "hours" in day and chance.random() < 0.3:
        day["hours"]["days"] = {date: chance.choice((None, ["08:00", "20:00"], ["09:30", "13:00"]))}
    return day


def _class(seed: int, chance: random.Random) -> dict:
    """A class of up to 24 waxes, with its people, hands, torches and kilns."""
    day = class_day(seed, chance.choice((3, 6, 9, 12, 18, 24)))
    if chance.random() < 0.7:
        closes, until = chance.choice((("16:00", "15:00"), ("18:30", "17:00"), ("23:00", "17:30")))
        day["hours"] = {"opens": "09:00", "closes": closes, "hand_in_until": until}
    drawn = {"hands": (1, 2, 3), "torches": (1, 1, 2), "melt_w": (150, 300, 400), "sections_may_differ_by": (0, 1, 3)}
    day["rules"] = day.get("rules", {}) | {name: chance.choice(values) for name, values in drawn.items()}
    for kiln in day["kilns"]:
        kiln |= {name: chance.choice((True, False, None)) for name in ("delayed_start", "runs_program")}
    return day


def findings(day: dict, seen: Counter) -> Iterator[str]:
    """What is wrong with the plan of a day, or with a change that is offered; `seen` counts what was looked at."""
    try:
        there = read(json.dumps(day))
        search = DaySearch(there.day)
        plan = search.plan(EFFORT)
    except Refused as refused:
        seen["refused"] += 1
        if "now" not in day and "hours" not in day:
            seen[f"refused: {str(refused)[:60]}"] += 1
        plan = None
    if plan is not None:
        written = json.loads(write(plan, there))
        seen["planned"] += 1
        seen.update({"flasks": len(written["flasks"]), "pours": len(written["flasks"])})
        seen.update(f"said {one['id']}" for one in written["cautions"])
        yield from breaches(day, written)
    for offer in _offered(day, plan, seen):
        yield from offer


def _offered(day: dict, plan: object, seen: Counter) -> Iterator[list[str]]:
    """What is wrong with each change that is offered."""
    try:
        there = read(json.dumps(day))
    except Refused:
        return
    search = DaySearch(there.day)
    for offer in nearest_changes(day, search, EFFORT, plan):
        seen[f"offered {offer.change.what}"] += 1
        changed = apply_change(day, offer.change)
        anew = read(json.dumps(changed))
        again = plan_day(anew.day, EFFORT)
        wrong = [f"offer {offer.change}: {one}" for one in breaches(changed, json.loads(write(again, anew)))]
        if write(again, anew) != write(offer.plan, offer.day):
            wrong.append(f"offer {offer.change}: its plan is another")
        if needs_change(again):
            wrong.append(f"offer {offer.change}: it does not work")
        if {left.key for left in again.left_out} - set(search.left_out(EFFORT)):
            wrong.append(f"offer {offer.change}: more waxes are left out")
        yield wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=500)
    parser.add_argument("--seed", type=int, default=None)
    asked = parser.parse_args()
    first = secrets.randbelow(10**9) if asked.seed is None else asked.seed
    print(f"seed {first}, {asked.days} days", flush=True)
    seen: Counter[str] = Counter()
    wrong, begun = 0, time.monotonic()
    for seed in range(first, first + asked.days):
        for finding in findings(drawn(seed), seen):
            wrong += 1
            print(f"day {seed}: {finding}", flush=True)
    for what, count in sorted(seen.items()):
        print(f"{count:6} {what}")
    print(f"{wrong} findings in {time.monotonic() - begun:.0f} s")


if __name__ == "__main__":
    main()
