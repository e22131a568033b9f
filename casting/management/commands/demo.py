"""The whole set-up of an invented school on this machine, and the site served for it."""

from __future__ import annotations

import datetime as dt
import io
import os
import secrets
import signal
import socket
import threading
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, connections
from django.urls import reverse
from django.utils import timezone
from granian import Granian
from granian.constants import Interfaces
from granian.log import LogLevels

from casting.services.demo import load_demo
from casting.services.stock import stock_school
from school.env import write_once
from school.join import open_course, show_code
from school.models import Course, Paper, Person, School

SCHOOL = {
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
FIRST_PORT, PORTS_TO_TRY = 8000, 100
WORKERS, THREADS = 2, 40  # many threads: a phone on weak Wi-Fi holds one while it dawdles
PLAIN_HTTP = (
    "Plain http: others on this network could read along, and phones keep nothing while offline; "
    "for a real class serve https (CASTING_HTTPS=1)."
)


class Command(BaseCommand):
    help = "Set up an invented school with its class and casting day, and serve the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, help="this port, and no other")
        parser.add_argument("--lan", action="store_true", help="serve the studio's network, not this machine alone")
        parser.add_argument("--fresh", action="store_true", help="put the old database aside and begin anew")
        parser.add_argument("--no-serve", action="store_true", help="set up and print, then stop")

    def handle(self, *args: Any, **options: Any) -> None:
        os.umask(0o077)
        if options["fresh"]:
            self.put_aside()
        call_command("migrate", verbosity=0, interactive=False)
        call_command("collectstatic", verbosity=0, interactive=False)
        school = _school()
        password = _teacher(school)
        course = _course(school)
        host = _studio_address() if options["lan"] else "127.0.0.1"
        port = _free_port("0.0.0.0" if options["lan"] else host, options["port"])  # noqa: S104
        self.tell(f"http://{host}:{port}", course, password)
        if options["lan"]:
            self.tell_of_network(f"http://{host}:{port}", course)
        if not options["no_serve"]:
            self.stdout.write("Ctrl-C stops it.")
            self.stdout.flush()
            _serve(host, port)

    def put_aside(self) -> None:
        if connection.vendor != "sqlite":
            raise CommandError("--fresh is for SQLite: with DATABASE_URL, name an empty database instead.")
        connection.close()
        database = Path(settings.DATABASES["default"]["NAME"])
        stamp = timezone.now().strftime("%Y%m%dT%H%M%S")
        for part in (database, *database.parent.glob(f"{database.name}-*")):
            if part.exists():
                part.rename(part.with_name(f"{stamp}-{part.name}"))

    def tell(self, site: str, course: Course, password: str) -> None:
        self.stdout.write(f"{course.school.name} is set up in {settings.DATA_DIR}")
        self.stdout.write(f"Hand in a wax:   {site}{reverse('join_class', args=[course.code])}")
        self.stdout.write(f"Class code:      {show_code(course.code)}  at {site}{reverse('join')}")
        self.stdout.write(f"Teacher:         {site}{reverse('sign_in')}")
        self.stdout.write(f"  sign-in name   {TEACHER['sign_in']}")
        self.stdout.write(f"  password       {password}")

    def tell_of_network(self, site: str, course: Course) -> None:
        picture = io.StringIO()
        code = segno.make(site + reverse("join_class", args=[course.code]), micro=False)
        code.terminal(out=picture, compact=True, border=2)
        self.stdout.write(picture.getvalue())
        self.stdout.write(PLAIN_HTTP)


def _school() -> School:
    school, made = School.objects.get_or_create(slug="tidewater-demo", defaults=SCHOOL)
    if made:
        stock_school(school)
    return school


def _teacher(school: School) -> str:
    """Return the teacher's password, made once for this data directory and never the same in two."""
    password = write_once(settings.DATA_DIR / "demo-sign-in", secrets.token_urlsafe(12)).strip()
    person = Person.objects.filter(sign_in=TEACHER["sign_in"]).first()
    if person is None:
        Person.objects.create_user(password=password, school=school, **TEACHER)
    elif not person.check_password(password):
        person.set_password(password)
        person.save(update_fields=["password"])
    return password


def _course(school: School) -> Course:
    now = timezone.now()
    course = Course.objects.filter(school=school, name=CLASS).first()
    if course is None:
        course = open_course(school, CLASS, now + OPEN_FOR)
    elif not course.is_open(now):
        course.open_until = now + OPEN_FOR
        course.save(update_fields=["open_until"])
    load_demo(school, course)
    return course


def _studio_address() -> str:
    """Return this machine's address on the network; connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation, RFC 5737
        except OSError as error:
            raise CommandError("This machine is on no network; leave --lan away.") from error
        return str(probe.getsockname()[0])


def _free_port(host: str, wanted: int | None) -> int:
    for port in [wanted] if wanted else range(FIRST_PORT, FIRST_PORT + PORTS_TO_TRY):
        with socket.socket() as door:
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                door.bind((host, port))
            except OSError:
                continue
            return port
    raise CommandError(f"Port {wanted or FIRST_PORT} is taken; name a free one with --port.")


def _serve(host: str, port: int) -> None:
    """Serve until Ctrl-C, on the same server and settings as a real school."""
    _one_signal_a_worker()
    # Workers are forked or spawned as the system does it: one takes the settings over, one reads them anew.
    settings.ALLOWED_HOSTS.append(host)
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


def _one_signal_a_worker() -> None:
    """Turn the terminal's Ctrl-C into one request to end, made by the parent alone.

    A terminal interrupts the workers as well, and one that is interrupted while it is already
    ending can wait for itself for ever. What is blocked here stays blocked in them.
    """
    interrupt = {signal.SIGINT}
    signal.pthread_sigmask(signal.SIG_BLOCK, interrupt)

    def pass_on() -> None:
        signal.sigwait(interrupt)
        os.kill(os.getpid(), signal.SIGTERM)

    threading.Thread(target=pass_on, daemon=True).start()
