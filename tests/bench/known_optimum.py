"""Classes whose least number of flasks is known: `python -m tests.bench.known_optimum [--effort 100] [--most 70]`."""

from __future__ import annotations

import argparse
from itertools import chain
from time import process_time

from casting.calc.grouping.budget import EFFORT
from casting.calc.grouping.group import group
from tests.reference.planted import case_71, packed_days, planted_days


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--effort", type=int, default=EFFORT)
    parser.add_argument("--most", type=int, default=120, help="waxes of a day")
    asked = parser.parse_args()
    print(f"{'class':<22} waxes  least  plan  out  bound  proved")
    tried = reached = bound = 0
    for name, day, least in chain(planted_days(), [("case 71", case_71(), 3)], packed_days()):
        if len(day.waxes) > asked.most:
            continue
        began = process_time()
        plan = group(day, asked.effort)
        proof, flasks, out = plan.proof, len(plan.groups), len(plan.left_out)
        tried, reached = tried + 1, reached + (flasks == least and not out)
        bound += proof.flasks_at_least == least
        print(
            f"{name:<22} {len(day.waxes):>5} {least:>6} {flasks:>5} {out:>4} {proof.flasks_at_least:>6}  "
            f"{'flasks' if proof.flasks_proved else 'no':<6} {process_time() - began:.2f} s",
            flush=True,
        )
    print(f"{tried} classes: the least reached in {reached}, the bound equal to it in {bound}")


if __name__ == "__main__":
    main()
