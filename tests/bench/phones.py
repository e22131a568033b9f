"""`python -m tests.bench.phones`: phones at a server as a school runs it, beside a bare page of the same server.

Each phone opens the form, asks the echo, hands in and looks at its list, one of them every few seconds; how long it
waits is drawn anew each time, for people do not keep step. The client is a process of its own. Every wax is asked for
once more at the end: none may be lost, none doubled.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import subprocess
import sys
import uuid
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from statistics import median, quantiles
from threading import Event, Thread
from time import perf_counter
from urllib.parse import urlencode

from tests.bench.room import empty_room

STEPS, EVERY_S, FIRST = ("bare", "form", "echo", "hand in", "my waxes"), 10.0, 4
CLIENT = "import json, sys; from tests.bench.phones import client; client(json.load(sys.stdin))"


def client(job: dict) -> None:
    """Walk every phone through its steps, print the milliseconds of each, and how many were answered otherwise."""
    took, wrong, pace = defaultdict(list), [], Event()

    def ask(phone: dict, step: str, key: str) -> None:
        values = phone["values"] | {"key": key, "csrfmiddlewaretoken": phone["csrf"]}
        how, path, more = {
            "bare": ("GET", "/worker.js", None),
            "form": ("GET", job["hand_in"], None),
            "echo": ("POST", job["hand_in"], values | {"preview": "1"}),
            "hand in": ("POST", job["hand_in"], values | {"outbox": "1", "later": "1"}),
            "my waxes": ("GET", "/my-waxes/", None),
        }[step]
        headers = {"Cookie": f"sessionid={phone['session']}; csrftoken={phone['csrf']}"}
        headers |= {"Content-Type": "application/x-www-form-urlencoded"} if more else {}
        line = HTTPConnection("127.0.0.1", job["port"], timeout=60)
        began = perf_counter()
        line.request(how, path, urlencode(more) if more else None, headers)
        answer = line.getresponse()
        answer.read()
        took[step].append((perf_counter() - began) * 1000)
        if answer.status not in (200, 201):
            wrong.append(answer.status)

    def walk(nth: int, phone: dict, every_s: float = EVERY_S) -> None:
        drawn, mean_s = random.Random(f"{job['seed']}-{nth}"), every_s / len(STEPS)
        pace.wait(drawn.uniform(0, every_s))
        for _round in range(job["rounds"]):
            key = str(uuid.uuid4())
            for step in STEPS:
                began = perf_counter()
                ask(phone, step, key)
                pace.wait(max(0.0, drawn.uniform(0.5, 1.5) * mean_s - (perf_counter() - began)))

    for one in enumerate(job["first"]):
        walk(*one, every_s=0.0)
    took.clear()
    threads = [Thread(target=walk, args=one) for one in enumerate(job["phones"])]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps({"took": took, "wrong": wrong}))


def phones_of(day, count: int) -> list[dict]:
    """Students of the class with their sessions and what each of them types."""
    from tests.casting_factories import typed
    from tests.conftest import client_of_student
    from tests.factories import StudentFactory

    made = []
    for _nth in range(count):
        session = client_of_student(StudentFactory(course=day.course)).cookies["sessionid"].value
        made.append({"session": session, "csrf": uuid.uuid4().hex, "values": typed(day)})
    return made


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--phones", type=int, default=60)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--port", type=int, default=8765)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6), help="a new one by itself")
    asked = parser.parse_args()
    with empty_room("phones", sqlite=False):
        from casting.models import Wax
        from tests.casting_factories import DayFactory

        day = DayFactory()
        job = {"port": asked.port, "hand_in": f"/hand-in/{day.pk}/", "rounds": asked.rounds}
        job["seed"] = asked.seed
        # Before any time is taken a few phones walk alone: a school's server is not started for its first wax.
        job["first"], job["phones"] = phones_of(day, FIRST), phones_of(day, asked.phones)
        other = [sys.executable, "-c", CLIENT]
        with served(asked.port):
            told = subprocess.run(other, input=json.dumps(job), stdout=subprocess.PIPE, text=True, check=True).stdout
        report(json.loads(told), (FIRST + asked.phones) * asked.rounds, Wax.objects.count())
        print(f"pauses drawn from seed {asked.seed}")


@contextmanager
def served(port: int) -> Iterator[str]:
    """The site as a school runs it, at this address."""
    program = str(Path(sys.executable).with_name("granian"))
    serve = [program, "--interface", "wsgi", "--workers", "2", "--blocking-threads", "40", "--port"]
    serve += [str(port), "school.wsgi:application"]
    server = subprocess.Popen(serve, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        _until_it_answers(port)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait()


def report(told: dict, sent: int, there: int) -> None:
    """Print each step beside the bare page of the same run, and what became of the waxes."""
    bare = median(told["took"]["bare"])
    for step in STEPS:
        took = told["took"][step]
        middle, late = median(took), quantiles(took, n=20)[-1]
        print(f"{step:<10} p50 {middle:6.0f} ms, p95 {late:6.0f} ms, {middle / bare:5.1f} x the bare page at p50")
    otherwise = told["wrong"] or "none"
    print(f"{sent} waxes sent, {there} there; answered otherwise: {otherwise}; load {os.getloadavg()[0]:.1f}")


def _until_it_answers(port: int) -> None:
    for _try in range(300):
        try:
            line = HTTPConnection("127.0.0.1", port, timeout=5)
            line.request("GET", "/worker.js")
            line.getresponse().read()
        except OSError:
            Event().wait(0.1)
        else:
            return
    raise SystemExit("The server does not answer.")


if __name__ == "__main__":
    main()
