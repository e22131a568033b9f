"""Runs a module in a child process within limits: `python -m casting.worker.child END MODULE [ARGUMENTS]`.

The exit code of the module is written to the file END, also when the time is up. A child that left no
such file broke off.
"""

from __future__ import annotations

import os
import runpy
import signal
import sys
from collections.abc import Sequence
from pathlib import Path

from casting.worker.limits import limit_process, limit_time

WALL_S, CPU_S = 150, 200
MEMORY_BYTES = 2 * 1024**3


def run(end: Path, module: str, arguments: Sequence[str]) -> None:
    """Run a module with these arguments as a program, and note its exit code in the file `end`."""
    sys.argv = [module, *arguments]
    try:
        runpy.run_module(module, run_name="__main__")
    except SystemExit as done:
        note(end, int(done.code or 0))


def note(end: Path, code: int) -> None:
    """Write an exit code, whole or not at all."""
    draft = end.with_suffix(".draft")
    draft.write_text(str(code))
    draft.replace(end)


def main() -> None:
    """Run what the command line names within limits; out of time, note an end without an error."""
    end, module, *arguments = sys.argv[1:]

    def late(*_signal: object) -> None:
        note(Path(end), 0)
        os._exit(0)

    signal.signal(signal.SIGALRM, late)
    limit_process(MEMORY_BYTES)
    limit_time(CPU_S, WALL_S)
    run(Path(end), module, arguments)


if __name__ == "__main__":
    main()
