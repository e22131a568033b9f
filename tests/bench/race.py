"""`python -m tests.bench.race`: phones that post at one moment, each its wax several times: none lost, none doubled.

Each has opened the form before, as a phone has: the server is warm.

On SQLite, or on the empty PostgreSQL database that DATABASE_URL names. `--phones 200 --posts 1` is a full hall.
"""

from __future__ import annotations

import argparse
import os
import uuid
from collections import Counter
from http.client import HTTPConnection
from statistics import median, quantiles
from threading import Barrier, Thread
from time import perf_counter
from typing import Any
from urllib.parse import urlencode

from tests.bench.phones import phones_of, served
from tests.bench.room import empty_room

PORT = 8767


class Race:
    """Posts that wait for one another and start together."""

    def __init__(self, address: str, posts: list[dict[str, Any]]) -> None:
        self.address, self.gate = address, Barrier(len(posts))
        self.took: list[float] = []
        self.answers: Counter[int] = Counter()
        self.threads = [Thread(target=self._post, args=(phone,)) for phone in posts]

    def _post(self, phone: dict[str, Any]) -> None:
        headers = {"Cookie": f"sessionid={phone['session']}; csrftoken={phone['csrf']}"}
        headers |= {"Content-Type": "application/x-www-form-urlencoded"}
        line = HTTPConnection("127.0.0.1", PORT, timeout=120)
        line.request("GET", self.address, headers=headers)
        line.getresponse().read()
        self.gate.wait()
        began = perf_counter()
        line.request("POST", self.address, urlencode(phone["values"]), headers)
        answer = line.getresponse()
        answer.read()
        self.took.append(perf_counter() - began)
        self.answers[answer.status] += 1

    def run(self) -> None:
        """Start them all, and wait for the last."""
        for thread in self.threads:
            thread.start()
        for thread in self.threads:
            thread.join()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--phones", type=int, default=60)
    parser.add_argument("--posts", type=int, default=5, help="of each phone's one wax")
    asked = parser.parse_args()
    with empty_room("race", sqlite=False):
        from django.db import connection

        from casting.models import Wax
        from tests.casting_factories import DayFactory

        day = DayFactory()
        phones = phones_of(day, asked.phones)
        for phone in phones:
            own = {"key": str(uuid.uuid4()), "outbox": "1", "later": "1", "csrfmiddlewaretoken": phone["csrf"]}
            phone["values"] |= own
        race = Race(f"/hand-in/{day.pk}/", phones * asked.posts)
        with served(PORT):
            race.run()
        there = Wax.objects.values("student", "tag").distinct().count()
        late = quantiles(race.took, n=20)[-1]
        print(f"{connection.vendor}: {asked.phones} phones, {len(race.took)} posts, answers {dict(race.answers)}")
        print(f"{Wax.objects.count()} waxes there, {there} of them different; load {os.getloadavg()[0]:.1f}")
        print(f"median {median(race.took):.2f} s, p95 {late:.2f} s, the last after {max(race.took):.2f} s")


if __name__ == "__main__":
    main()
