"""`python -m tests.bench`: what plans and pages cost, each beside something measured in the same run.

In-process, in an empty room of its own; nothing is asserted, since a busy machine is no fault of the code.
`--small` measures with smaller classes, as `.ci/run` does, and counts no presses on a phone.
"""

from __future__ import annotations

import argparse
import os
import platform

from tests.bench.room import empty_room, told


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument(
        "--small", action="store_true", help="a class of 12 instead of 24 and 80, a board of 24 instead of 80"
    )
    parser.add_argument("--year", action="store_true", help="pages with a year of days in the school, and no more")
    asked = parser.parse_args()
    small = asked.small
    print(f"Python {platform.python_version()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    with empty_room("bench", CASTING_HOSTS="localhost,127.0.0.1,testserver"):
        from tests.bench import board, clock, pages, plans, taps, year

        if asked.year:
            told(year.rows())
            return
        told(pages.rows(pages.SOME if small else pages.MANY))
        told(clock.rows())
        told(board.rows(board.SOME if small else board.MANY))
        told(plans.rows(plans.SMALL if small else plans.SEEDS))
        told(() if small else taps.rows())


if __name__ == "__main__":
    main()
