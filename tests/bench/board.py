"""How quickly the board answers: one carried wax, a wax put down, a plan that is only checked; beside a whole plan."""

from __future__ import annotations

import json
from collections.abc import Iterator
from statistics import median
from time import perf_counter

from casting import solve
from casting.calc.advice.carrying import Board, Verdict
from casting.calc.advice.putting_down import put_down
from casting.calc.plan_day import plan_day
from casting.dayfile import read, write
from tests.bench.clock import a_big_file
from tests.bench.plans import timed
from tests.days.day_file import given_back

MANY, SOME = 80, 24
EFFORT, TIMES, PUT, MOST = 10, 9, 20, 12
CARRIED_MS, CARRIED_WORST_MS, CHECK_MS, PUT_MS = 50, 150, 150, 1000


def spread(work) -> tuple[float, float]:
    """Median and worst of some timed calls [ms]."""
    times = []
    for call in work:
        began = perf_counter()
        call()
        times.append(1000 * (perf_counter() - began))
    return median(times), max(times)


def rows(waxes: int) -> Iterator[tuple[str, str, str]]:
    """(what, figure, against what) of a class of so many waxes, in flasks that all have room by their number."""
    file = a_big_file(waxes)
    day = read(json.dumps(file))
    plan, whole_s = timed(plan_day, day.day, EFFORT)
    roomier = [size | {"waxes_max": MOST} for size in file["flask_sizes"]]  # else a full flask is refused unsearched
    text = json.dumps(given_back(file, json.loads(write(plan, day)), flask_sizes=roomier))
    placed = read(text).day
    flasks, keys = placed.placed, sorted(key for flask in placed.placed for key in flask.keys)
    answers = {}

    def carried(key):
        def call():
            answers[key] = Board(placed, flasks).answers(key)

        return call

    typical, worst = spread(carried(key) for key in keys)
    yield (
        f"one of {len(keys)} waxes over {len(flasks)} flasks",
        f"{typical:.0f} ms, worst {worst:.0f}",
        f"{1000 * whole_s / typical:.0f} x quicker than a plan at effort {EFFORT} ({whole_s:.1f} s); "
        f"under {CARRIED_MS} ms, worst {CARRIED_WORST_MS}",
    )
    many = [answer.verdict for each in answers.values() for answer in each if answer.label]
    yield (
        "  takes, refused, not found",
        ", ".join(str(many.count(verdict)) for verdict in (Verdict.TAKES, Verdict.REFUSED, Verdict.NOT_FOUND)),
        f"of {len(many)}",
    )
    yield from _put_down(Board(placed, flasks), answers)
    check_ms, check_worst_ms = spread([lambda: solve.check(read(text))] * TIMES)
    yield (
        "  plan that is only checked",
        f"{check_ms:.0f} ms, worst {check_worst_ms:.0f}",
        f"{1000 * whole_s / check_ms:.0f} x quicker than that plan; under {CHECK_MS} ms",
    )


def _put_down(board, answers) -> Iterator[tuple[str, str, str]]:
    """Waxes put down where no spot was found while the others stay."""
    asked = [(key, one.label) for key, each in answers.items() for one in each if one.verdict is Verdict.NOT_FOUND]
    found = []

    def put(key, label):
        return lambda: found.append(put_down(board, key, label))

    some = [(key, label) for key, label in asked if label][:: max(1, len(asked) // PUT)]
    if some:
        typical, worst = spread(put(*one) for one in some)
        yield (
            "  put down where others must move",
            f"{typical:.0f} ms, worst {worst:.0f}",
            f"{sum(one is not None for one in found)} of {len(some)} found; under {PUT_MS} ms",
        )
