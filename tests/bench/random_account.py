"""`python -m tests.bench.random_account --days 200`: random days of entries and corrections in the metal account.

At every step the sum over all accounts is zero, of each metal and of money, and no heap holds less than nothing; every
fourth day has two writers at once. The seed is fresh and printed, so that a failure can be run again. On PostgreSQL
with DATABASE_URL, else on SQLite.
"""

from __future__ import annotations

import argparse
import os
import random
import secrets
import tempfile
from collections import Counter
from time import perf_counter

STEPS, TOGETHER = 12, 4


def a_school():
    """A day of a class with a plan, its flasks invested, and a price list; and its teacher."""
    from casting.services import searches
    from tests.casting.account_days import invest, prices
    from tests.casting.planned import make_plan, start_here
    from tests.casting_factories import DayFactory, handed_in
    from tests.factories import PersonFactory, StudentFactory

    searches.start_child = start_here
    day = DayFactory()
    teacher = PersonFactory(school=day.course.school)
    students = [StudentFactory(course=day.course) for _nth in range(4)]
    for nth in range(8):
        alloy = day.alloys.get(key="si-bronze" if nth % 3 == 2 else "sterling")
        handed_in(day, students[nth % 4], alloy=alloy, own_metal=nth == 7)
    make_plan(day, teacher)
    invest(day, teacher)
    prices(day.course.school, teacher)
    return day, teacher


def run(days: int, seed: int) -> None:
    """Book so many random days and print what came of them."""
    from tests.casting.account_random import Writer, another_day, negative, write_both

    day, teacher = a_school()
    school, began = day.course.school, perf_counter()
    done: Counter[str] = Counter()
    for nth in range(days):
        other = another_day(day)
        writers = [
            Writer(other, teacher, random.Random(f"{seed} {nth} {one}")) for one in range(1 + (nth % TOGETHER == 0))
        ]
        if len(writers) > 1:
            write_both(writers, STEPS)
        else:
            for _step in range(STEPS):
                writers[0].step()
        assert negative(school) == [], f"seed {seed}, day {nth}"
        for writer in writers:
            done += writer.done
    told = ", ".join(f"{what} {count}" for what, count in sorted(done.items()))
    print(f"{days} days, {done.total()} steps in {perf_counter() - began:.0f} s, zero at every one: {told}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=200)
    parser.add_argument("--seed", type=int, default=secrets.randbelow(10**6))
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="casting-bench-") as room:
        os.environ |= {"CASTING_DATA_DIR": room, "DJANGO_SETTINGS_MODULE": "school.settings"}
        import django
        from django.db import connection, connections
        from django.test.utils import setup_databases, teardown_databases

        django.setup()
        made = setup_databases(verbosity=0, interactive=False)
        print(f"{connection.vendor}, seed {asked.seed}", flush=True)
        try:
            run(asked.days, asked.seed)
        finally:
            connections.close_all()
            teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
