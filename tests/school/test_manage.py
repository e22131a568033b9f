"""The first thing anybody runs says what is wrong and what mends it."""

import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

import manage

MANAGE = Path(manage.__file__)


@pytest.fixture(scope="module")
def bare_python(tmp_path_factory):
    """A Python of its own in which nothing is installed."""
    room = tmp_path_factory.mktemp("bare")
    venv.create(room / "env", with_pip=False, symlinks=True)
    return room / "env" / "bin" / "python"


def run(python, script):
    return subprocess.run([python, script, "demo", "--port", "8001"], capture_output=True, text=True)


def test_without_django_the_whole_set_up_is_named(bare_python, tmp_path):
    alone = shutil.copy(MANAGE, tmp_path / "manage.py")
    done = run(bare_python, alone)
    assert done.returncode == 1
    assert done.stderr.strip() == (
        "Django is not installed in this environment; run: python3 -m venv .venv && .venv/bin/pip install -e '.[dev]'"
    )


def test_outside_the_environment_the_same_command_inside_is_named(bare_python, tmp_path):
    (tmp_path / ".venv").mkdir()
    done = run(bare_python, shutil.copy(MANAGE, tmp_path / "manage.py"))
    assert done.returncode == 1
    assert done.stderr.strip().endswith("run: .venv/bin/python manage.py demo --port 8001")
    assert len(done.stderr.strip().splitlines()) == 1


def test_an_old_python_is_told_which_one_is_needed(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit) as stopped:
        manage.main()
    assert str(stopped.value).startswith("This is Python 3.9 and the site needs 3.11 or newer; ")


def test_a_sound_environment_is_not_complained_of():
    assert manage.what_is_wrong() is None
