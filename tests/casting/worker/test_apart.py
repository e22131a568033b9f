"""A child that is started apart knows nothing of this process."""

import subprocess

import pytest

from casting.worker.apart import run_apart


def test_it_reads_what_is_given_and_answers():
    assert run_apart("json.tool", b'{"a": 1}', 20, "--compact").stdout.strip() == b'{"a":1}'


def test_it_knows_no_secret(monkeypatch):
    monkeypatch.setenv("CASTING_SECRET_KEY", "not to be told")
    said = run_apart(
        "timeit", b"", 20, "-n1", "-r1", "import os; print(os.getcwd(), sorted(os.environ))"
    ).stdout.decode()
    assert "/apart-" in said and "'TMPDIR'" in said and "CASTING_SECRET_KEY" not in said


def test_it_is_ended_when_its_time_is_up():
    with pytest.raises(subprocess.TimeoutExpired):
        run_apart("timeit", b"", 0.2, "-n1", "-r1", "import time; time.sleep(30)")
