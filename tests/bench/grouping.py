"""Plans of whole classes beside plainer ways in the same run: `python -m tests.bench.grouping`.

`--waxes 12 24` classes, `--seeds 100-109`, `--only planner`, `--effort 100`, `--model-seconds 10`. Each call runs
in a child of its own, one at a time: nothing is remembered from one to the next, and each has its own peak memory.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import resource
import statistics
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from time import perf_counter
from typing import Any

from casting.calc.grouping.budget import EFFORT, FIRST_EFFORT
from casting.calc.grouping.flask_rules import FlaskRules
from casting.calc.grouping.group import group
from casting.calc.values.day_input import DayInput
from casting.calc.values.day_plan import Proof
from casting.dayfile import read
from tests.bench.plainly import Plainly, assignment, best_fit, first_fit
from tests.days.class_day import class_day

HEAD = f"seed | {'first fit':<18} {'best fit':<18} {'model':<18} | {'planner':<18} | {'bound':<12} {'proved':<7}  gap %"
LEGEND = "flasks/powder g/left out and cost; seconds (first answer); peak MB"


@dataclass(frozen=True)
class Ran:
    """What a call in a child gave, and what it took."""

    value: Any
    seconds: float
    cpu_s: float
    peak_mb: float


def fresh(work: Callable[..., Any], *arguments: Any) -> Ran:
    """Run a call in a child that remembers nothing; its result must be picklable."""
    here, there = multiprocessing.Pipe(duplex=False)
    child = multiprocessing.get_context("fork").Process(target=_told, args=(there, work, arguments))
    child.start()
    there.close()
    ran = here.recv()
    child.join()
    return Ran(*ran)


def _told(pipe: Any, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    began = perf_counter()
    value = work(*arguments)
    seconds, used = perf_counter() - began, resource.getrusage(resource.RUSAGE_SELF)
    pipe.send((value, seconds, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024))


def planned(day: DayInput, effort: int) -> tuple[Plainly, Proof]:
    """The planner's figures and proof."""
    plan, sharing = group(day, effort), FlaskRules(day)
    firsts = sum(day.wax(out.key).piece == 1 for out in plan.left_out)
    cost = round(sum(sharing.cost(frozenset(one.places), one.size) for one in plan.groups), 2)
    powder_g = sum(sharing.powder_g[one.size] for one in plan.groups)
    return Plainly(firsts, len(plan.left_out), len(plan.groups), cost, powder_g), plan.proof


@dataclass(frozen=True)
class Row:
    """One day, every way."""

    seed: int
    plain: dict[str, Plainly]
    plan: Plainly
    proof: Proof
    ran: Ran
    first: Ran

    @property
    def gap_pct(self) -> float:
        """How far the cost stands over its bound."""
        least = self.proof.cost_at_least
        return 100 * (self.plan.cost - least) / least if least else 0.0

    def __str__(self) -> str:
        def short(one: Plainly) -> str:
            return f"{one.flasks}/{one.powder_g}/{one.left_out} {one.cost:.2f}"

        beside = " ".join(f"{short(one):<18}" for one in self.plain.values())
        proof = self.proof
        said = "all" if proof.proved else "flasks" if proof.flasks_proved else "no"
        bound = f"{proof.flasks_at_least} {proof.cost_at_least:.2f}"
        return (
            f"{self.seed:>4} | {beside:<56} | {short(self.plan):<18} | {bound:<12} {said:<7} "
            f"{self.gap_pct:>6.1f} | {self.ran.seconds:.2f} s (cpu {self.ran.cpu_s:.2f}; first "
            f"{self.first.seconds:.2f}) {self.ran.peak_mb:.0f} MB"
        )


def row(waxes: int, seed: int, effort: int, seconds: float, only_planner: bool) -> Row:
    """One day, planned every way."""
    day = read(json.dumps(class_day(seed, waxes))).day
    plain = {}
    if not only_planner:
        plain = {"first fit": fresh(first_fit, day).value, "best fit": fresh(best_fit, day).value}
        plain["model"] = fresh(assignment, day, seconds).value
    first, ran = fresh(planned, day, FIRST_EFFORT), fresh(planned, day, effort)
    plan, proof = ran.value
    return Row(seed, plain, plan, proof, ran, first)


def summed(rows: list[Row]) -> Iterable[str]:
    """What the days of one class come to."""
    count = len(rows)
    took, first = [one.ran.seconds for one in rows], [one.first.seconds for one in rows]
    yield (
        f"flasks proved {sum(one.proof.flasks_proved for one in rows)} of {count}, "
        f"all proved {sum(one.proof.proved for one in rows)}, "
        f"at most one flask open {sum(one.plan.flasks <= one.proof.flasks_at_least + 1 for one in rows)}"
    )
    yield (
        f"seconds median {statistics.median(took):.2f}, worst {max(took):.2f}; first answer median "
        f"{statistics.median(first):.2f}, worst {max(first):.2f}; worst gap {max(one.gap_pct for one in rows):.1f} %; "
        f"peak {max(one.ran.peak_mb for one in rows):.0f} MB"
    )
    for name in rows[0].plain:
        fewer = sum(one.plain[name].flasks - one.plan.flasks for one in rows)
        powder_g = sum(one.plain[name].powder_g - one.plan.powder_g for one in rows)
        worse = [one.seed for one in rows if _aims(one.plan) > _aims(one.plain[name])]
        out = sum(one.plain[name].left_out - one.plan.left_out for one in rows)
        yield (
            f"against {name}: {fewer} of {sum(one.plain[name].flasks for one in rows)} flasks, {powder_g} g powder, "
            f"{out} left-out waxes saved; never worse: {'no, seeds ' + str(worse) if worse else 'yes'}"
        )


def _aims(one: Plainly) -> tuple[int, int, int, float]:
    return one.firsts_out, one.left_out, one.flasks, one.cost


def seeds_of(text: str) -> list[int]:
    """`100-109` or `100` as a list."""
    low, _, high = text.partition("-")
    return list(range(int(low), int(high or low) + 1))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--waxes", type=int, nargs="+", default=[12, 24, 40, 80, 200])
    parser.add_argument("--seeds", type=seeds_of, default="100-109")
    parser.add_argument("--only", choices=["planner"])
    parser.add_argument("--effort", type=int, default=EFFORT)
    parser.add_argument("--model-seconds", type=float, default=10)
    asked = parser.parse_args()
    for waxes in asked.waxes:
        print(f"\n{waxes} waxes, effort {asked.effort}, load {os.getloadavg()[0]:.1f}\n{HEAD}\n{LEGEND}", flush=True)
        rows = []
        for seed in asked.seeds:
            rows.append(row(waxes, seed, asked.effort, asked.model_seconds, asked.only == "planner"))
            print(rows[-1], flush=True)
        print("\n".join(summed(rows)), flush=True)


if __name__ == "__main__":
    main()
