"""The demo command: sets everything up once; a second time it makes new links and changes nothing else."""

import contextlib
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from casting.management.commands import demo as command_module
from tests.casting_factories import DayFactory

ROOT = Path(__file__).resolve().parents[4]
PATIENCE_S = 60


def command(room, *options):
    environment = {**os.environ, "CASTING_DATA_DIR": str(room)}
    environment.pop("DATABASE_URL", None)
    return [sys.executable, "manage.py", "demo", *options], environment


def demo(room, *options):
    words, environment = command(room, *options)
    return subprocess.run(words, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


def rows_in(database):
    """Return every row of every table of a database, without SQLite's own counters."""
    tables = database.execute("select name from sqlite_master where type = 'table' and name not like 'sqlite_%'")
    return {name: database.execute(f'select * from "{name}"').fetchall() for (name,) in tables.fetchall()}


def rows_of(room):
    """Return every row of the demo's database."""
    with contextlib.closing(sqlite3.connect(room / "casting.sqlite3")) as database:
        return rows_in(database)


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    """A data directory in which the demo ran once, with an older database put aside first."""
    room = tmp_path_factory.mktemp("demo") / "data"
    room.mkdir()
    with contextlib.closing(sqlite3.connect(room / "casting.sqlite3")) as database, database:
        database.execute("create table school_course (name text)")
        database.execute("insert into school_course values ('Of old')")
    done = demo(room, "--no-serve", "--fresh")
    assert done.returncode == 0, done.stderr
    return room, done.stdout


@pytest.fixture
def keep_umask(monkeypatch):
    """The command makes what this process writes its owner's alone; here it must not outlive the test."""
    monkeypatch.setattr(os, "umask", lambda mask: mask)


def links_of(said):
    """Return the links by what they open."""
    return {what.strip(): link for what, link in re.findall(r"^  (.+?) +(http://\S+token=\S+)$", said, re.MULTILINE)}


def test_the_demo_prints_links_addresses_code_and_sign_in_in_few_lines(room):
    room, said = room
    assert len(said.strip().splitlines()) <= 12
    assert list(links_of(said)) == ["A student's phone", "The teacher's flasks", "The day's papers"]
    assert re.search(r"http://127\.0\.0\.1:8\d\d\d/join/[0-9A-Z]{6}/", said)
    assert re.search(r"class code [0-9A-Z]{3}-[0-9A-Z]{3}\b", said)
    assert (room / "demo-sign-in").read_text() in said


def test_what_the_demo_keeps_is_for_its_owner_alone(room):
    room, _said = room
    assert room.stat().st_mode & 0o777 == 0o700
    for name in ("secret", "demo-sign-in", "casting.sqlite3"):
        assert (room / name).stat().st_mode & 0o777 == 0o600


def test_the_demo_has_a_plan_and_one_flask_invested(room):
    room, said = room
    assert re.search(r"^Making the plan \.\.\. \d+\.\d s$", said, re.MULTILINE)
    rows = rows_of(room)
    assert len(rows["casting_plan"]) == 1
    assert len(rows["casting_steprecord"]) == 1
    assert sum("invested" in row for row in rows["casting_flask"]) == 1


def test_fresh_puts_the_old_database_aside_whole(room):
    room, _said = room
    (aside,) = room.glob("2*-casting.sqlite3")
    with contextlib.closing(sqlite3.connect(aside)) as database:
        assert rows_in(database) == {"school_course": [("Of old",)]}
    assert len(rows_of(room)["school_course"]) == 1


def refused_here():
    """Return why the command refuses the database of the test, which it leaves as it is."""
    with connection.cursor() as database:
        before = rows_in(database)
        with pytest.raises(CommandError) as refused:
            call_command("demo", "--no-serve")
        assert rows_in(database) == before
    return str(refused.value)


@pytest.mark.django_db
def test_a_database_of_another_version_is_left_alone(keep_umask):
    MigrationRecorder(connection).record_applied("casting", "0099_of_old")
    assert refused_here() == (
        f"The database in {settings.DATA_DIR} is of another version, whose tables differ. "
        "Run the demo once with --fresh: it puts that database aside and begins with an empty one."
    )


@pytest.mark.django_db
def test_a_database_with_a_real_school_is_left_alone(keep_umask):
    DayFactory(course__school__is_demo=False)
    assert refused_here().startswith("This database holds a real school.")


def test_a_second_demo_changes_nothing_but_the_links(room):
    room, first = room
    before = rows_of(room)
    old_links = before.pop("school_demolink")
    assert len(before["school_school"]) == 1
    assert len(before["casting_castingday"]) == 1
    again = demo(room, "--no-serve")
    assert again.stdout.split()[-1] == first.split()[-1]  # the same password
    assert "Making the plan" not in again.stdout
    after = rows_of(room)
    new_links = after.pop("school_demolink")
    assert after == before
    hashes = [{row[1] for row in rows} for rows in (old_links, new_links)]
    assert [len(each) for each in hashes] == [3, 3] and not hashes[0] & hashes[1]
    assert not set(links_of(again.stdout).values()) & set(links_of(first).values())


def test_a_taken_port_is_said_in_a_sentence(keep_umask):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=f"^Port {port} is taken; name a free one with --port\\.$"):
            call_command("demo", "--port", str(port))


def fetch(address):
    """Return what the address answers once the server is up."""
    end = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urllib.request.urlopen(address) as answer:
                return answer.read().decode()
        except urllib.error.URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def press(link):
    """Return the path that the button of a demo link leads to."""
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    assert "invented" in browser.open(link).read().decode()
    address, _question, query = link.partition("?")
    with browser.open(address, data=query.encode()) as page:
        assert page.status == 200
        return urllib.parse.urlsplit(page.url).path


def free_port():
    """Return a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def said_until(stream, word):
    """Return what the command printed up to the line with the word."""
    said = ""
    for line in stream:
        said += line
        if word in line:
            break
    return said


def on_a_network():
    """Return whether this machine has an address that other machines could call."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        return probe.connect_ex(("192.0.2.1", 9)) == 0  # kept for documentation, RFC 5737; nothing is sent


def interrupt(server):
    """Interrupt the command and its workers, as a terminal's Ctrl-C does."""
    os.killpg(server.pid, signal.SIGINT)


@contextlib.contextmanager
def served(words, environment, end):
    """Run a server in a session of its own until it is told to end."""
    server = subprocess.Popen(
        words, cwd=ROOT, env={**environment, "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
    )  # fmt: skip
    try:
        yield server
    finally:
        end(server)
        rest, _none = server.communicate(timeout=PATIENCE_S)
    assert server.returncode == 0
    assert "Traceback" not in rest


# A machine that is on no network can only be asked on its loopback address.
@pytest.mark.parametrize("network", [[], ["--lan"]] if on_a_network() else [[]])
def test_the_demo_serves_and_ends_cleanly_on_ctrl_c(room, network):
    with served(*command(room[0], *network), interrupt) as server:
        said = said_until(server.stdout, "Ctrl-C")
        address = re.search(r"http://\S+/join/[0-9A-Z]{6}/", said).group(0)
        assert ("127.0.0.1" in address) is not bool(network)
        page = fetch(address)
        assert "--color-paper" in page  # what a phone needs first stands in the page itself
        served_file = re.search(r'(?:href|src)="(/static/[^"]+\.(?:css|js))"', page).group(1)
        assert fetch(address.split("/join/")[0] + served_file)
        assert bool(links_of(said)) is not bool(network)
        opened = [press(link) for link in links_of(said).values()]
        assert opened == ([] if network else ["/my-waxes/", "/days/1/flasks/", "/days/1/papers/"])


def test_the_demo_stays_on_this_machine_when_something_else_serves_it(room):
    room, said = room
    join = re.search(r"/join/[0-9A-Z]{6}/", said).group(0)
    port = free_port()
    words = [str(Path(sys.executable).with_name("granian")), "--interface", "wsgi", "--port", str(port)]
    environment = {**command(room)[1], "CASTING_HOSTS": "127.0.0.1,tidewater.example"}
    with served([*words, "school.wsgi:application"], environment, subprocess.Popen.terminate):
        here = f"http://127.0.0.1:{port}{join}"
        assert "Rings in wax" in fetch(here)
        with pytest.raises(urllib.error.HTTPError, match="404"):
            urllib.request.urlopen(urllib.request.Request(here, headers={"Host": "tidewater.example"}))


def test_a_machine_on_no_network_is_told_so(monkeypatch):
    def unreachable(*_address):
        raise OSError

    monkeypatch.setattr(command_module.socket.socket, "connect", unreachable)
    with pytest.raises(CommandError, match="on no network; leave --lan away"):
        command_module._studio_address()
