"""Sets up an invented school on this machine, prints three links into it and serves the site."""

from __future__ import annotations

import datetime as dt
import io
import os
import secrets
import signal
import socket
import threading
import time
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, connections
from django.db.migrations.loader import MigrationLoader
from django.urls import reverse
from django.utils import timezone
from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels

from casting.models import CastingDay
from casting.services.demo import begin_demo_plan, book_demo_metal, demo_visitor, finish_demo_plan, load_demo
from casting.services.stock import stock_school
from school.demo import issue_link, void_links
from school.env import write_once
from school.join import open_course, show_code
from school.models import Course, Paper, Person, School, Student

SCHOOL = {
    "slug": "tidewater-demo",
    "name": "Tidewater Bench School",
    "town": "Port Ellery",
    "zone": "America/New_York",
    "elevation_m": 12,
    "paper": Paper.LETTER,
    "currency": "USD",
}
TEACHER = {"sign_in": "imre", "name": "Imre Valdane"}
CLASS = "Rings in wax"
OPEN_FOR = dt.timedelta(weeks=26)
LOOPBACK = "127.0.0.1"
FIRST_PORT, PORTS_TO_TRY = 8000, 100
WORKERS, THREADS = 2, 40  # many threads, because a phone on weak Wi-Fi keeps one busy for long
PLAIN_HTTP = "Plain http: others on this network could read along. For a real class serve https (CASTING_HTTPS=1)."


@dataclass(frozen=True)
class Demo:
    """The demo school as it is set up."""

    teacher: Person
    password: str
    course: Course
    day: CastingDay


class Command(BaseCommand):
    """Sets up the demo school, prints the ways in and serves the site."""

    help = "Set up an invented school with its class and casting day, and serve the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the port, the network and what to do with an old database."""
        parser.add_argument("--port", type=int, help="this port, and no other")
        parser.add_argument("--lan", action="store_true", help="serve the studio's network, not this machine alone")
        parser.add_argument("--fresh", action="store_true", help="put the old database aside and start over")
        parser.add_argument("--no-serve", action="store_true", help="set up and print, then stop")

    def handle(self, *args: Any, **options: Any) -> None:
        """Set up what is missing, print the ways in, and serve."""
        os.umask(0o077)
        lan = bool(options["lan"])
        host = _studio_address() if lan else LOOPBACK
        port = _free_port("0.0.0.0" if lan else host, options["port"])  # noqa: S104
        if options["fresh"]:
            self.put_aside()
        demo = self.set_up()
        if lan:
            self.print_sign_in(f"http://{host}:{port}", demo)
            self.print_network(f"http://{host}:{port}", demo.course)
        else:
            self.print_links(port, demo)
            self.print_sign_in(f"http://{host}:{port}", demo)
        if not options["no_serve"]:
            self.stdout.write("Ctrl-C stops it.")
            self.stdout.flush()
            _serve(host, port, lan)

    def put_aside(self) -> None:
        """Rename the database of an earlier demo, so that this one begins with an empty one."""
        if connection.vendor != "sqlite":
            raise CommandError("--fresh is for SQLite: with DATABASE_URL, name an empty database instead.")
        connection.close()
        database = Path(settings.DATABASES["default"]["NAME"])
        stamp = timezone.now().strftime("%Y%m%dT%H%M%S")
        for part in (database, *database.parent.glob(f"{database.name}-*")):
            if part.exists():
                part.rename(part.with_name(f"{stamp}-{part.name}"))

    def set_up(self) -> Demo:
        """Return the demo school, with what it has already left as it is."""
        _refuse_other_tables()
        with self.step("Setting up the school"):
            call_command("migrate", verbosity=0, interactive=False)
            demo = _demo()
            search = begin_demo_plan(demo.day, demo.teacher)
        with self.step("Making the plan" if search else "Collecting styles and fonts"):
            # The search works beside this, in a process of its own.
            call_command("collectstatic", verbosity=0, interactive=False)
            why_not = finish_demo_plan(search, demo.teacher) if search else ""
        if why_not:
            self.stdout.write(f"There is no plan: {why_not}")
        return demo

    @contextmanager
    def step(self, what: str) -> Iterator[None]:
        """Print what goes on, and how long it took."""
        began = time.monotonic()
        self.stdout.write(f"{what} ... ", ending="")
        self.stdout.flush()
        yield
        self.stdout.write(f"{time.monotonic() - began:.1f} s")

    def print_links(self, port: int, demo: Demo) -> None:
        """Print three one-time links; those of an earlier start stop working.

        The student's has the other name of this machine, so that one browser keeps both sign-ins apart.
        """
        void_links(demo.course.school)
        pages: list[tuple[str, str, Person | Student, str]] = [
            ("A student's phone", "localhost", demo_visitor(demo.course), reverse("my_waxes")),
            ("The teacher's flasks", LOOPBACK, demo.teacher, reverse("flasks", args=[demo.day.pk])),
            ("The day's papers", LOOPBACK, demo.teacher, reverse("papers", args=[demo.day.pk])),
        ]
        self.stdout.write("\nOpen these, each once:")
        for what, host, visitor, page in pages:
            token = issue_link(visitor, page)
            self.stdout.write(f"  {what:<21}http://{host}:{port}{reverse('open_demo')}?token={token}")

    def print_sign_in(self, site: str, demo: Demo) -> None:
        """Print the addresses and codes that open as often as one likes."""
        code = demo.course.code
        self.stdout.write(f"\n{demo.course.school.name} is kept in {settings.DATA_DIR}")
        self.stdout.write(f"  Hand in a wax:  {site}{reverse('join_class', args=[code])}  class code {show_code(code)}")
        self.stdout.write(f"  Teacher:        {site}{reverse('sign_in')}  as {demo.teacher.sign_in}, {demo.password}")

    def print_network(self, site: str, course: Course) -> None:
        """Print the QR code of the hand-in page, and a warning."""
        picture = io.StringIO()
        code = segno.make(site + reverse("join_class", args=[course.code]), micro=False)
        code.terminal(out=picture, compact=True, border=2)
        self.stdout.write(picture.getvalue())
        self.stdout.write(PLAIN_HTTP)


def _refuse_other_tables() -> None:
    """Refuse a database whose tables were made by migrations that this version does not have."""
    loader = MigrationLoader(connection)
    if loader.applied_migrations.keys() - loader.disk_migrations.keys():
        raise CommandError(
            f"The database in {settings.DATA_DIR} is of another version, whose tables differ. "
            "Run the demo once with --fresh: it puts that database aside and begins with an empty one."
        )


def _demo() -> Demo:
    """Make or find the school, its teacher, its class and its day."""
    if School.objects.filter(is_demo=False).exists():
        raise CommandError(
            "This database holds a real school. Name another directory for the demo: CASTING_DATA_DIR=somewhere."
        )
    school, made = School.objects.get_or_create(is_demo=True, defaults=SCHOOL | {"set_up_ended_at": timezone.now()})
    if made:
        stock_school(school)
    teacher, password = _teacher(school)
    course = _course(school)
    day = load_demo(school, course)
    book_demo_metal(school, teacher)
    return Demo(teacher, password, course, day)


def _teacher(school: School) -> tuple[Person, str]:
    """Return the teacher and the password, which is random and made once for this data directory."""
    password = write_once(settings.DATA_DIR / "demo-sign-in", secrets.token_urlsafe(12)).strip()
    person = Person.objects.filter(school=school, sign_in=TEACHER["sign_in"]).first()
    if person is None:
        person = Person.objects.create_user(password=password, school=school, **TEACHER)
    elif not person.check_password(password):
        person.set_password(password)
        person.save(update_fields=["password"])
    return person, password


def _course(school: School) -> Course:
    """Return the class, open to new students."""
    now = timezone.now()
    course = Course.objects.filter(school=school, name=CLASS).first()
    if course is None:
        course = open_course(school, CLASS, now + OPEN_FOR)
    elif not course.is_open(now):
        course.open_until = now + OPEN_FOR
        course.save(update_fields=["open_until"])
    return course


def _studio_address() -> str:
    """Return this machine's address on the network. Connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address reserved for documentation, RFC 5737
        except OSError as error:
            raise CommandError("This machine is on no network; leave --lan away.") from error
        return str(probe.getsockname()[0])


def _free_port(host: str, wanted: int | None) -> int:
    """Return the port that is wanted, or the first free one."""
    for port in [wanted] if wanted else range(FIRST_PORT, FIRST_PORT + PORTS_TO_TRY):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError:
                continue
            return port
    raise CommandError(f"Port {wanted or FIRST_PORT} is taken; name a free one with --port.")


def _serve(host: str, port: int, lan: bool) -> None:
    """Serve until Ctrl-C, on the same server and settings as a real school."""
    _send_workers_one_signal()
    # A worker that is forked inherits the settings; one that is spawned reads them from the environment.
    settings.ALLOWED_HOSTS.append(host)
    settings.DEMO_ON_LAN = lan
    os.environ["CASTING_DEMO_ON_LAN"] = "1" if lan else "0"
    os.environ["CASTING_HOSTS"] = ",".join(settings.ALLOWED_HOSTS)
    connections.close_all()  # a database connection must not be shared by a fork
    Granian(
        "school.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=WORKERS,
        blocking_threads=THREADS,
        log_level=LogLevels.error,
        respawn_failed_workers=True,
        workers_kill_timeout=5,
        websockets=False,
    ).serve()


def _send_workers_one_signal() -> None:
    """Turn the terminal's Ctrl-C into one request to end, which the parent alone makes.

    The terminal also interrupts the workers, and a worker that is interrupted while it ends can wait for itself
    for ever. A signal that is blocked here is blocked in the workers too.
    """
    interrupt = {signal.SIGINT}
    signal.pthread_sigmask(signal.SIG_BLOCK, interrupt)

    def pass_on() -> None:
        signal.sigwait(interrupt)
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=pass_on, daemon=True).start()
