"""A child that runs a module and notes how it ended."""

import subprocess
import sys

import pytest

from casting.services.searches import PROJECT


def child(end, *command):
    command = [sys.executable, "-m", "casting.worker.child", str(end), *command]
    return subprocess.run(command, input=b"", capture_output=True, check=False, cwd=PROJECT, timeout=60)


@pytest.mark.parametrize(
    ("command", "code"),
    [
        # An empty day file is refused: exit 2, and one line says why.
        (["casting.solve", "-"], "2"),
        (["casting.solve", "--no-such-option"], "2"),
        # This module ends without an exit code, as no search does.
        (["this"], None),
    ],
)
def test_the_exit_code_is_noted_when_the_module_exits(tmp_path, command, code):
    done = child(tmp_path / "end", *command)
    noted = (tmp_path / "end").read_text() if (tmp_path / "end").exists() else None
    assert noted == code and not (tmp_path / "end.draft").exists()
    assert done.returncode == 0


def test_the_module_finds_its_own_arguments(tmp_path):
    done = child(tmp_path / "end", "casting.solve", "--no-such-option")
    assert b"--no-such-option" in done.stderr


def test_a_module_that_breaks_notes_nothing(tmp_path):
    done = child(tmp_path / "end", "casting.worker.savings")
    assert done.returncode != 0 and b"JSONDecodeError" in done.stderr
    assert not (tmp_path / "end").exists()
