"""Whether plans stay the same and never get worse: `python -m tests.bench.steady [--waxes 12 24 40]`.

The same file and effort under three seeds of Python's hashes, byte for byte; then effort 1, 10, 100, 400.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import subprocess
import sys

from casting.dayfile import read
from tests.bench.grouping import fresh, planned, seeds_of
from tests.days.class_day import class_day, dumps

EFFORTS = (1, 10, 100, 400)


def printed(file: str, hash_seed: str, effort: int) -> str:
    """The digest of what the command prints for a day file."""
    told = subprocess.run(
        [sys.executable, "-m", "casting.solve", "-", "--effort", str(effort)],
        input=file.encode(),
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
    )
    return hashlib.sha256(told.stdout).hexdigest()[:12]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--waxes", type=int, nargs="+", default=[12, 24, 40])
    parser.add_argument("--seeds", type=seeds_of, default="100-102")
    asked = parser.parse_args()
    for waxes in asked.waxes:
        for seed in asked.seeds:
            rows = class_day(seed, waxes)
            prints = {printed(dumps(rows), hash_seed, 20) for hash_seed in ("0", "1", "7")}
            day = read(json.dumps(rows)).day
            plans = [fresh(planned, day, effort).value[0] for effort in EFFORTS]
            aims = [(one.firsts_out, one.left_out, one.flasks, one.cost) for one in plans]
            worse = [EFFORTS[i + 1] for i in range(len(aims) - 1) if aims[i + 1] > aims[i]]
            print(
                f"{waxes} waxes, seed {seed}: {'same bytes' if len(prints) == 1 else 'BYTES DIFFER'}; "
                + "  ".join(
                    f"{effort}: {left}/{flasks}/{cost:.2f}"
                    for effort, (_, left, flasks, cost) in zip(EFFORTS, aims, strict=True)
                )
                + (f"  WORSE at {worse}" if worse else ""),
                flush=True,
            )


if __name__ == "__main__":
    main()
