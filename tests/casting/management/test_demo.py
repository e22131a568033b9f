"""The demo command: everything set up once, nothing changed by a second time."""

import contextlib
import os
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from django.core.management.base import CommandError

from casting.management.commands import demo as command_module

ROOT = Path(__file__).resolve().parents[3]
PATIENCE_S = 60


def command(room, *options):
    environment = {**os.environ, "CASTING_DATA_DIR": str(room)}
    environment.pop("DATABASE_URL", None)
    return [sys.executable, "manage.py", "demo", *options], environment


def demo(room, *options):
    words, environment = command(room, *options)
    return subprocess.run(words, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


def rows_of(room):
    """Return every row of every table of the demo's database."""
    with contextlib.closing(sqlite3.connect(room / "casting.sqlite3")) as database:
        tables = database.execute("select name from sqlite_master where type = 'table' order by name")
        return {name: database.execute(f'select * from "{name}"').fetchall() for (name,) in tables.fetchall()}


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    """A data directory in which the demo ran once."""
    room = tmp_path_factory.mktemp("demo") / "data"
    done = demo(room, "--no-serve")
    assert done.returncode == 0, done.stderr
    return room, done.stdout


def test_the_demo_prints_its_addresses_code_and_sign_in_in_few_lines(room):
    room, said = room
    assert len(said.strip().splitlines()) <= 12
    assert re.search(r"http://127\.0\.0\.1:8\d\d\d/join/[0-9A-Z]{6}/", said)
    assert re.search(r"Class code: +[0-9A-Z]{3}-[0-9A-Z]{3}", said)
    assert (room / "demo-sign-in").read_text() in said


def test_what_the_demo_keeps_is_for_its_owner_alone(room):
    room, _said = room
    assert room.stat().st_mode & 0o777 == 0o700
    for name in ("secret", "demo-sign-in", "casting.sqlite3"):
        assert (room / name).stat().st_mode & 0o777 == 0o600


def test_a_second_demo_changes_nothing(room):
    room, first = room
    before = rows_of(room)
    assert len(before["school_school"]) == 1
    assert len(before["casting_castingday"]) == 1
    again = demo(room, "--no-serve")
    assert again.stdout.split()[-1] == first.split()[-1]  # the same password
    assert rows_of(room) == before


def test_a_taken_port_is_said_in_a_sentence(room):
    room, _said = room
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = demo(room, "--port", str(port))
    assert done.returncode == 1
    assert done.stderr.strip() == f"CommandError: Port {port} is taken; name a free one with --port."


def test_fresh_puts_the_old_database_aside(room, tmp_path):
    again = shutil.copytree(room[0], tmp_path / "data")
    old = rows_of(again)["school_course"]
    assert demo(again, "--no-serve", "--fresh").returncode == 0
    (aside,) = again.glob("2*-casting.sqlite3")
    with contextlib.closing(sqlite3.connect(aside)) as database:
        assert database.execute("select * from school_course").fetchall() == old
    assert rows_of(again)["school_course"] != old


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


# A machine that stands alone can only be asked on its loopback address.
@pytest.mark.parametrize("network", [[], ["--lan"]] if on_a_network() else [[]])
def test_the_demo_serves_and_ends_cleanly_on_ctrl_c(room, network):
    room, _said = room
    words, environment = command(room, *network)
    server = subprocess.Popen(
        words, cwd=ROOT, env={**environment, "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
    )  # fmt: skip
    try:
        address = re.search(r"http://\S+/join/[0-9A-Z]{6}/", said_until(server.stdout, "Ctrl-C")).group(0)
        assert ("127.0.0.1" in address) is not bool(network)
        page = fetch(address)
        style = re.search(r'href="(/static/css/tokens\.[0-9a-f]+\.css)"', page).group(1)
        assert "--color-paper" in fetch(address.split("/join/")[0] + style)
    finally:
        os.killpg(server.pid, signal.SIGINT)  # as a terminal does
        rest, _none = server.communicate(timeout=PATIENCE_S)
    assert server.returncode == 0
    assert "Traceback" not in rest


def test_a_machine_on_no_network_is_told_so(monkeypatch):
    def unreachable(*_address):
        raise OSError

    monkeypatch.setattr(command_module.socket.socket, "connect", unreachable)
    with pytest.raises(CommandError, match="on no network; leave --lan away"):
        command_module._studio_address()
