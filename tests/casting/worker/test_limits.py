"""A child's limits, each met by a child that does too much."""

import os
import signal
import subprocess
import sys

import pytest

from casting.services.searches import PROJECT

MEMORY_BYTES = 2**30


def child(code):
    """What became of a child that runs this code with the limits at hand."""
    code = f"from casting.worker.limits import limit_process, limit_time\n{code}"
    return subprocess.run([sys.executable, "-c", code], capture_output=True, check=False, cwd=PROJECT, timeout=60)


def test_it_gets_no_more_memory():
    done = child(f"limit_process({MEMORY_BYTES})\nbytearray({MEMORY_BYTES})")
    assert done.returncode == 1 and b"MemoryError" in done.stderr


def test_it_yields_to_the_server():
    done = child(f"limit_process({MEMORY_BYTES})\nimport os\nprint(os.nice(0))")
    # Ten below whoever runs this; 19 is the lowest priority that the system knows.
    assert int(done.stdout) == min(19, os.nice(0) + 10)


def test_it_writes_no_longer_file(tmp_path):
    write = (
        f"file = open({str(tmp_path / 'long')!r}, 'wb', buffering=0)\nfile.write(bytes(900))\nfile.write(bytes(900))"
    )
    child(f"limit_process({MEMORY_BYTES}, 1000)\n{write}")
    assert (tmp_path / "long").stat().st_size == 1000


@pytest.mark.parametrize(
    ("limits", "work", "ended_by"),
    [
        ("1, 50, 9", "while True: pass", signal.SIGXCPU),
        ("1, 50", "while True: pass", signal.SIGKILL),
        ("50, 1", "import time; time.sleep(50)", signal.SIGALRM),
    ],
    ids=["processor", "the most of the processor", "clock"],
)
def test_out_of_time_a_signal_ends_it(limits, work, ended_by):
    assert child(f"limit_time({limits})\n{work}").returncode == -ended_by


def test_more_time_is_given_for_the_next_page_up_to_the_most():
    code = (
        "limit_time(1, 50, 3)\nlimit_time(9, 50, 3)\nimport resource\nprint(*resource.getrlimit(resource.RLIMIT_CPU))"
    )
    assert child(code).stdout.split() == [b"3", b"3"]
