"""Starts a module of ours in a child process that knows nothing of this one: neither its environment nor its folder."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


def run_apart(module: str, given: bytes, wall_s: float, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """Return what became of a module that reads `given` and ends within this time.

    It sets its own limits (`worker/limits.py`). Raises `TimeoutExpired` or `OSError` as `subprocess.run` does.
    """
    with tempfile.TemporaryDirectory(prefix="apart-") as room:
        quiet = {
            "PATH": "/usr/bin:/bin",
            "HOME": room,
            "XDG_CACHE_HOME": room,
            "TMPDIR": room,
            "PYTHONPATH": str(PROJECT),
        }
        return subprocess.run(  # noqa: S603 (our own interpreter and module, no shell)
            [sys.executable, "-m", module, *arguments],
            input=given,
            capture_output=True,
            timeout=wall_s,
            cwd=room,
            env=quiet,
            check=False,
        )
