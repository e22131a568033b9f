"""How long a plan takes and what it spares, against first fit in the same run."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from time import perf_counter

from casting.calc.plan_day import plan_day
from casting.dayfile import read
from tests.bench.plainly import first_fit
from tests.days.class_day import class_day

SEEDS = {24: range(100, 103), 80: range(100, 101)}
"""Few; `grouping` beside this takes any."""
SMALL = {12: range(100, 101)}
"""Fewer still, as they stand in the whole check."""
LIMITS_S = {12: 5, 24: 10, 80: 30}


def timed(work, *arguments):
    """The result of a call and its seconds."""
    began = perf_counter()
    result = work(*arguments)
    return result, perf_counter() - began


def rows(seeds: Mapping[int, range]) -> Iterator[tuple[str, str, str]]:
    """(what, figure, against what) of each size of class and seed."""
    for waxes, few in seeds.items():
        for seed in few:
            day = read(json.dumps(class_day(seed, waxes))).day
            plan, took_s = timed(plan_day, day)
            quick, quick_s = timed(plan_day, day, 1)
            plain, _ = timed(first_fit, day)
            powder_g = sum(flask.powder_g for flask in plan.flasks)
            what = f"plan of {waxes} waxes, seed {seed}"
            yield (
                what,
                f"{took_s:.2f} s",
                f"{took_s / quick_s:.1f} x effort 1 ({quick_s:.2f} s); under {LIMITS_S[waxes]} s",
            )
            yield (
                "  flasks, powder, left out",
                f"{len(plan.flasks)}, {powder_g} g, {len(plan.left_out)}",
                f"first fit {plain.flasks}, {plain.powder_g} g, {plain.left_out}; "
                f"effort 1 {len(quick.flasks)}, {sum(flask.powder_g for flask in quick.flasks)} g; "
                f"{len(plan.flasks) / plain.flasks:.2f} x flasks, {powder_g / plain.powder_g:.2f} x powder",
            )
            proof, cost = plan.proof, plan.totals.cost
            yield (
                "  proved",
                "all" if proof.proved else "flasks" if proof.flasks_proved else "no",
                f"at least {proof.flasks_at_least} flasks, cost {cost:.2f} (at least {proof.cost_at_least:.2f})",
            )
