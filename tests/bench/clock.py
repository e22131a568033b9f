"""How long the whole clock of a big class takes: which flask goes in which kiln, all times, steps and cautions."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from statistics import median

from casting.calc.plan_day import DaySearch
from casting.dayfile import read
from tests.bench.plans import timed
from tests.days.class_day import KILNS, SIZES, class_day

WAXES, FLASKS, EFFORT, TIMES, LIMIT_MS = 80, 12, 1, 15, 50


def a_big_file(waxes=WAXES):
    """80 waxes, or fewer, for 12 large flasks and two kilns that each take all of them."""
    file = class_day(100, waxes, owners=False)
    waxes = [wax | {"alloy": "sterling" if n % 2 else "si-bronze"} for n, wax in enumerate(file["waxes"])]
    kilns = [KILNS[0] | {"key": key, "width_mm": 600, "depth_mm": 600} for key in ("k1", "k2")]
    rules = file["rules"] | {"crucible_ml": 90, "melt_max_g": 900, "sections_may_differ_by": 3}
    sizes = [size | {"count": 6} for size in SIZES[3:]]
    return file | {"waxes": waxes, "kilns": kilns, "rules": rules, "flask_sizes": sizes}


def rows() -> Iterator[tuple[str, str, str]]:
    """(what, figure, against what)."""
    day = read(json.dumps(a_big_file())).day
    search = DaySearch(day)
    plan, first_s = timed(search.plan, EFFORT)
    (grouping,) = search._searches.values()
    hands = count(day.rules.hands + 1)

    def clock():
        """The day with one more pair of hands: the same flasks, all of the clock anew."""
        other = search.on_clock_of(replace(day, rules=replace(day.rules, hands=next(hands))))
        whole_s = timed(other.plan, EFFORT)[1]
        return whole_s - timed(grouping.run, EFFORT)[1]

    def as_loaded():
        """The same with the loads of the kilns as they are known."""
        return timed(search.plan, EFFORT)[1]

    whole_ms, loaded_ms = (1000 * median(work() for _ in range(TIMES)) for work in (clock, as_loaded))
    yield (
        f"clock of {len(day.waxes)} waxes",
        f"{whole_ms:.0f} ms",
        f"{whole_ms / loaded_ms:.1f} x the loads of the kilns known ({loaded_ms:.0f} ms); "
        f"{whole_ms / first_s / 10:.1f} % of the first plan ({first_s:.2f} s); under {LIMIT_MS} ms",
    )
    yield "  flasks, kilns", f"{len(plan.flasks)}, {len({flask.kiln for flask in plan.flasks})}", f"of {FLASKS}, 2"
